// The pipe catalogue: bore, wall, pressure rating, default C and roughness by kind and nominal size, from the standards.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "model/system.hpp"

namespace evenhead::model {

/// One kind of pipe: all its sizes share standard, material and defaults.
struct PipeKind {
    std::string name;             ///< pvc-sch40 ...
    std::string standard;         ///< ASTM D1785 ...
    Material material = Material::unknown;
    double c = 0;                 ///< default Hazen-Williams C
    double roughness = 0;         ///< m
    double modulus = 0;           ///< Pa
    bool metric = false;          ///< nominal sizes are mm
    std::string bore_rule;        ///< how the bore follows from the table
    std::vector<PipeSize> sizes;  ///< smallest first
};

/// Every kind of the catalogue, in the order of the data table. Built once; thread safe.
const std::vector<PipeKind>& pipe_kinds();

/// The kind of this name, or nullptr.
const PipeKind* find_kind(std::string_view name);

/// The size of this kind ("1-1/4", "1 1/4", "32"), or nullptr.
const PipeSize* find_size(const PipeKind& kind, std::string_view nominal);

/// Share of the rating at 73.4 degF that is left at a water temperature (degC); 1 at and below 23 degC.
/// Empty where the material has no published factors or the temperature is beyond the table.
std::optional<double> rating_factor(Material material, double temperature);

/// A generic loss for a device or valve given only by `size`; empty where there is none. The basis is common practice.
struct GenericLoss {
    std::string type;             ///< a device type, or "valve"
    std::string size;             ///< nominal, in
    std::vector<ChartRow> chart;  ///< flow m3/s -> loss Pa
    std::string basis;
};
std::optional<GenericLoss> generic_loss(std::string_view type, std::string_view size);

}  // namespace evenhead::model
