// The rows of a System as the case format writes them: keys and values in the units of the case, as JSON.
#pragma once

#include <string>

#include "io/write/json_writer.hpp"
#include "model/graph.hpp"
#include "model/system.hpp"
#include "model/watering.hpp"

namespace evenhead::io {

/// Writes keys of a row into the object that is open. What has a place of its own in the file (id, x, y,
/// bends, outline) is left out.
class CaseCells {
  public:
    CaseCells(JsonWriter& json, const model::System& system) : json_(json), system_(system) {}

    void point(const model::Point& point);  ///< elev, note
    void supply(const model::Supply& supply);
    void device(const model::Device& device);
    void valve(const model::Valve& valve);
    void head(const model::Head& head);
    void pipe(const model::Pipe& pipe);
    void nozzle(const model::Nozzle& nozzle);
    void kind(const model::PipeSize& size);
    void condition(const model::Condition& condition);
    void reading(const model::Reading& reading);
    void seen(const model::Seen& seen);
    void price(const model::Price& price);
    void watering(const model::Watering& watering);

    /// What is no place: what stands at the top of a case, and its tables beside points and pipes.
    void top_and_tables(const std::string& title, const model::WateringPlan& plan);

    /// Keys with what they hold: `limits` but for those of a rule set in a file, `window`.
    void limits();
    void window(const model::Window& window);

    /// A number in the unit of the case, with its spread; "?" where it is not known.
    void quantity(std::string_view key, const model::Quantity& quantity, model::Dimension dimension);
    void optional(std::string_view key, const model::OptionalQuantity& quantity, model::Dimension dimension);

  private:
    void value(const model::Quantity& quantity, model::Dimension dimension);
    void chart(const std::vector<model::ChartRow>& rows, std::string_view at, model::Dimension of,
               std::string_view value, model::Dimension its);
    void loss(const model::Loss& loss, bool usually_lossless);
    void change(std::string_view key, const std::optional<model::Change>& change, model::Dimension dimension);
    void days(model::Days days);
    /// "20 %"
    std::string with_unit(double si, model::Dimension dimension) const;

    JsonWriter& json_;
    const model::System& system_;
};

/// Without the last bits that the way through SI leaves: twelve digits are kept.
double tidy_number(double value);
/// The word of a device's type: "flow-sensor".
std::string_view type_word(model::DeviceType type);
/// "kind size" as a case writes it; empty for a bare bore.
std::string size_text(const model::PipeSize& size);

}  // namespace evenhead::io
