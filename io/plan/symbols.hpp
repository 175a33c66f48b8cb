// The marks of the plan: simple shapes of our own, around (0, 0), in px at full size. The legend explains
// each.
#pragma once

#include <array>
#include <string_view>
#include <vector>

#include "io/plan/states.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// Half of the width of a mark at full size.
inline constexpr double head_half = 5.5, valve_half = 7, device_half = 8.5, supply_half = 9, point_half = 1.7;

/// Half of a call-out of a suspect place: a square on its corner, with a number in it.
inline constexpr double suspect_half = 10.5;
std::string_view suspect_shape();

/// A low head points down, a high one up; within: round; dry: an empty ring, struck through; off: a small
/// ring.
std::string_view head_shape(HeadState state);
std::string_view head_class(HeadState state);  ///< "low" ...
std::string_view head_words(HeadState state);  ///< "below its limit" ...

/// Valve: a six-sided plate. Supply: a disc in a ring. Device: a square with two letters. One that is closed
/// is barred.
std::string_view valve_shape();
std::string_view own_valve_shape();  ///< around its head
std::string_view supply_shape();
inline constexpr double supply_hole = 4.2;  ///< radius: nothing shines through it
std::string_view device_shape();
std::string_view closed_shape();
std::string_view device_letters(model::DeviceType type);
std::string_view device_words(model::DeviceType type);
std::string_view device_class(model::DeviceType type);

/// Pipes by bore: a few classes of width, the widest pipe of the system in the last.
class PipeWidths {
  public:
    explicit PipeWidths(const model::System& system);
    std::size_t of(const model::Pipe& pipe) const;  ///< class, from 0
    std::size_t classes() const { return most_.size(); }
    double most_bore(std::size_t width) const { return most_[width]; }  ///< m; NaN: not known
    static double line(std::size_t width);                              ///< px

  private:
    std::vector<double> most_;  ///< by class, rising
};

}  // namespace evenhead::io
