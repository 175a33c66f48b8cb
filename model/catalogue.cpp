#include "model/catalogue.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "model/catalogue/nominal.hpp"
#include "model/catalogue/reader.hpp"
#include "model/catalogue/tables.hpp"

namespace evenhead::model {
namespace {

using tables::in_si;
using tables::Line;
using tables::number;

Material material_of(std::string_view word) {
    if (word == "pvc") return Material::pvc;
    if (word == "polyethylene") return Material::polyethylene;
    if (word == "copper") return Material::copper;
    if (word == "steel") return Material::steel;
    throw std::invalid_argument("not a material: " + std::string(word));
}

double quantity(const Line& line) {
    return in_si(number(line.words.at(0)), line.words.at(1));
}

/// Builds the kinds line by line; `columns` and `units` hold for the `size` lines below them.
class KindBuilder {
  public:
    void take(const Line& line) {
        if (line.key == "kind") {
            kinds_.emplace_back().name = line.rest;
            return;
        }
        if (kinds_.empty()) throw std::invalid_argument("a kind must come first");
        PipeKind& kind = kinds_.back();
        if (line.key == "standard")
            kind.standard = line.rest;
        else if (line.key == "material")
            kind.material = material_of(line.rest);
        else if (line.key == "c")
            kind.c = number(line.rest);
        else if (line.key == "roughness")
            kind.roughness = quantity(line);
        else if (line.key == "modulus")
            kind.modulus = quantity(line);
        else if (line.key == "units")
            set_units(kind, line);
        else if (line.key == "bore")
            kind.bore_rule = line.rest;
        else if (line.key == "rated")
            kind.rating_rule = line.rest;
        else if (line.key == "factors")
            kind.factors = line.rest;
        else if (line.key == "source")
            kind.source = line.rest;
        else if (line.key == "columns")
            columns_.assign(line.words.begin(), line.words.end());
        else if (line.key == "size")
            kind.sizes.push_back(size(kind, line));
        else
            throw std::invalid_argument("not a key: " + std::string(line.key));
    }

    std::vector<PipeKind> kinds() && { return std::move(kinds_); }

  private:
    void set_units(PipeKind& kind, const Line& line) {
        length_unit_ = line.words.at(0);
        pressure_unit_ = line.words.at(1);
        kind.metric = length_unit_ == "mm";
    }

    PipeSize size(const PipeKind& kind, const Line& line) const {
        if (line.words.size() != columns_.size()) throw std::invalid_argument("not as many cells as columns");
        PipeSize made;
        made.kind = kind.name;
        made.material = kind.material;
        made.c = {kind.c, 0};
        made.roughness = {kind.roughness, 0};
        made.modulus = kind.modulus;
        double outside = std::nan(""), inside = std::nan(""), wall = std::nan("");
        for (std::size_t column = 0; column < columns_.size(); ++column) {
            const std::string_view name = columns_[column], cell = line.words[column];
            if (name == "nominal")
                made.nominal = cell;
            else if (name == "outside")
                outside = number(cell);
            else if (name == "inside")
                inside = number(cell);
            else if (name == "wall")
                wall = number(cell);
            else if (name == "rating")
                made.rating = Quantity{in_si(number(cell), pressure_unit_), 0};
            else
                throw std::invalid_argument("not a column: " + std::string(name));
        }
        if (std::isnan(inside)) inside = outside - 2 * wall;
        if (std::isnan(outside)) outside = inside + 2 * wall;
        made.bore = {in_si(inside, length_unit_), 0};
        made.outside = in_si(outside, length_unit_);
        made.wall = in_si(wall, length_unit_);
        if (!(inside > 0 && wall > 0)) throw std::invalid_argument("no bore or no wall");
        return made;
    }

    std::vector<PipeKind> kinds_;
    std::vector<std::string_view> columns_;
    std::string_view length_unit_, pressure_unit_;
};

std::vector<PipeKind> read_kinds() {
    KindBuilder builder;
    tables::read(tables::pipes, [&](const Line& line) { builder.take(line); });
    return std::move(builder).kinds();
}

std::vector<RatingFactors> read_factors() {
    std::vector<RatingFactors> read;
    std::string_view unit;
    tables::read(tables::temperature_factors, [&](const Line& line) {
        if (line.key == "table")
            read.emplace_back().name = line.rest;
        else if (line.key == "material")
            read.at(read.size() - 1).material = material_of(line.rest);
        else if (line.key == "source")
            read.at(read.size() - 1).source = line.rest;
        else if (line.key == "unit")
            unit = line.rest;
        else if (line.key == "row")
            read.at(read.size() - 1)
                .rows.push_back({in_si(number(line.words.at(0)), unit), number(line.words.at(1))});
        else
            throw std::invalid_argument("not a key: " + std::string(line.key));
    });
    return read;
}

std::vector<GenericLoss> read_losses() {
    std::vector<GenericLoss> read;
    std::string_view type, basis;
    tables::read(tables::generic_losses, [&](const Line& line) {
        if (line.key == "type")
            type = line.rest;
        else if (line.key == "basis")
            basis = line.rest;
        else if (line.key == "loss") {
            GenericLoss loss{std::string(type), std::string(line.words.at(0)), {}, std::string(basis)};
            for (std::size_t word = 1; word < line.words.size(); word += 2)
                loss.chart.push_back({{in_si(number(line.words[word]), "gpm"), 0},
                                      {in_si(number(line.words.at(word + 1)), "psi"), 0}});
            read.push_back(std::move(loss));
        } else
            throw std::invalid_argument("not a key: " + std::string(line.key));
    });
    return read;
}

const std::vector<GenericLoss>& generic_losses() {
    static const std::vector<GenericLoss> losses = read_losses();
    return losses;
}

std::optional<double> factor_at(const RatingFactors& table, double temperature) {
    const auto& rows = table.rows;
    if (std::isnan(temperature) || temperature > rows.back().temperature) return std::nullopt;
    if (temperature <= rows.front().temperature) return rows.front().factor;
    const auto above = std::find_if(rows.begin(), rows.end(), [&](const RatingFactors::Row& row) {
        return row.temperature >= temperature;
    });
    const auto below = above - 1;
    const double share = (temperature - below->temperature) / (above->temperature - below->temperature);
    return below->factor + share * (above->factor - below->factor);
}

}  // namespace

const std::vector<PipeKind>& pipe_kinds() {
    static const std::vector<PipeKind> kinds = read_kinds();
    return kinds;
}

const PipeKind* find_kind(std::string_view name) {
    const auto& kinds = pipe_kinds();
    const auto found =
        std::find_if(kinds.begin(), kinds.end(), [&](const PipeKind& kind) { return kind.name == name; });
    return found == kinds.end() ? nullptr : &*found;
}

const PipeSize* find_size(const PipeKind& kind, std::string_view nominal) {
    const auto wanted = kind.metric ? tables::nominal_millimetres(nominal) : tables::nominal_inches(nominal);
    if (!wanted) return nullptr;
    const auto found = std::find_if(kind.sizes.begin(), kind.sizes.end(), [&](const PipeSize& size) {
        return kind.metric ? tables::nominal_millimetres(size.nominal) == wanted
                           : tables::nominal_inches(size.nominal) == wanted;
    });
    return found == kind.sizes.end() ? nullptr : &*found;
}

const std::vector<RatingFactors>& rating_factors() {
    static const std::vector<RatingFactors> factors = read_factors();
    return factors;
}

std::optional<double> rating_factor(Material material, double temperature) {
    for (const RatingFactors& table : rating_factors())
        if (table.material == material) return factor_at(table, temperature);
    return std::nullopt;
}

std::optional<double> rating_factor(const PipeSize& size, double temperature) {
    const PipeKind* kind = find_kind(size.kind);
    if (kind != nullptr && !kind->factors.empty())
        for (const RatingFactors& table : rating_factors())
            if (table.name == kind->factors) return factor_at(table, temperature);
    return rating_factor(size.material, temperature);
}

std::optional<GenericLoss> generic_loss(std::string_view type, std::string_view size) {
    auto wanted = tables::nominal_inches(size);
    // No device is 15 in or more, so a number from there on is the nominal diameter in millimetres.
    if (!wanted || *wanted >= 15) wanted = tables::inches_of_nominal_diameter(size);
    if (!wanted) return std::nullopt;
    for (const GenericLoss& loss : generic_losses())
        if (loss.type == type && tables::nominal_inches(loss.size) == wanted) return loss;
    return std::nullopt;
}

std::vector<std::string> generic_sizes(std::string_view type) {
    std::vector<std::string> sizes;
    for (const GenericLoss& loss : generic_losses())
        if (loss.type == type) sizes.push_back(loss.size);
    return sizes;
}

}  // namespace evenhead::model
