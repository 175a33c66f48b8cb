// The pipe catalogue: bore, wall, pressure rating, default C and roughness by kind and nominal size, from the
// standards.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "model/system.hpp"

namespace evenhead::model {

/// One kind of pipe: all its sizes share standard, material and defaults.
struct PipeKind {
    std::string name;      ///< pvc-sch40 ...
    std::string standard;  ///< ASTM D1785 ...
    Material material = Material::unknown;
    double c = 0;                 ///< default Hazen-Williams C
    double roughness = 0;         ///< m
    double modulus = 0;           ///< Pa
    bool metric = false;          ///< nominal sizes are mm
    std::string bore_rule;        ///< how the bore follows from the table
    std::string rating_rule;      ///< what the rating holds for; empty: not rated here
    std::string source;           ///< where the figures are from, and how well they are known
    std::string factors;          ///< name of its temperature factors; empty: none
    std::vector<PipeSize> sizes;  ///< smallest first
};

/// Every kind of the catalogue, in the order of the data table. Built once; thread safe.
const std::vector<PipeKind>& pipe_kinds();

/// The kind of this name, or nullptr.
const PipeKind* find_kind(std::string_view name);

/// The size of this kind, or nullptr. Inch kinds take "1-1/4", "1 1/4", "1.25", each also with "in" or '"'
/// behind it; metric ones "32", also with "mm" behind it or "DN", "dn" or "d" before it.
const PipeSize* find_size(const PipeKind& kind, std::string_view nominal);

/// Share of a pipe's rating that is left in warm water.
struct RatingFactors {
    struct Row {
        double temperature = 0;  ///< degC
        double factor = 0;       ///< 1 = the whole
    };
    std::string name;
    Material material = Material::unknown;
    std::string source;
    std::vector<Row> rows;  ///< straight between them, the coolest (factor 1) first
};

/// Every table of rating factors; the first of a material serves its pipe where no kind says otherwise.
const std::vector<RatingFactors>& rating_factors();

/// Share of the rating at 73.4 degF that is left at a water temperature (degC); 1 at and below 23 degC.
/// Empty where the material has no published factors or the temperature is beyond the table.
std::optional<double> rating_factor(Material material, double temperature);

/// The same for a pipe size: by the table that its kind names, else by its material. A metric kind is rated
/// at 20 degC.
std::optional<double> rating_factor(const PipeSize& size, double temperature);

/// A generic loss for a device or valve given only by `size`; empty where there is none. The basis is common
/// practice.
struct GenericLoss {
    std::string type;             ///< a device type, or "valve"
    std::string size;             ///< nominal, in
    std::vector<ChartRow> chart;  ///< flow m3/s -> loss Pa
    std::string basis;
};

/// `type` as in the case format ("flow-sensor"), or "valve"; `size` is a nominal size in inches, as for
/// find_size, or the millimetres of the nominal diameter that stands for it ("25", "25 mm", "DN 25" is 1 in).
std::optional<GenericLoss> generic_loss(std::string_view type, std::string_view size);

/// The sizes that have a generic loss for this type, smallest first; empty where the type has none.
std::vector<std::string> generic_sizes(std::string_view type);

}  // namespace evenhead::model
