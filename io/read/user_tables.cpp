#include "io/read/user_tables.hpp"

#include <algorithm>
#include <utility>

#include "io/read/source.hpp"
#include "model/catalogue/reader.hpp"

namespace evenhead::io {
namespace {

/// Lets `parse` make `table` of the file's text; a line that it does not take is an error with this mend.
template <class Table>
FileReading read_table(const std::string& path, Table (*parse)(std::string_view), std::string_view mend,
                       std::optional<Table>& table) {
    Document document;
    document.files.push_back(path);
    if (const auto text = read_source(path, 0, {}, false, document)) {
        try {
            table = parse(*text);
        } catch (const model::tables::LineFault& fault) {
            document.errors.push_back({{0, fault.line, 1}, "", fault.words, std::string(mend)});
        }
    }
    return {std::move(document.files), std::move(document.errors), {}};
}

bool all_zero(const model::FaultPriors& priors) {
    return !(priors.as_drawn + priors.two_faults + priors.unexplained > 0) &&
           std::none_of(priors.kinds.begin(), priors.kinds.end(),
                        [](const model::FaultPrior& kind) { return kind.weight > 0; });
}

}  // namespace

FileReading read_priors(const std::string& path, std::optional<model::FaultPriors>& priors) {
    FileReading reading =
        read_table<model::FaultPriors>(path, model::read_fault_priors,
                                       "write fault KIND WEIGHT, with LOW HIGH UNIT EVENLY-IN behind it or "
                                       "not; answer NAME WEIGHT; or bad-reading "
                                       "CHANCE SPREAD",
                                       priors);
    if (priors && all_zero(*priors)) {
        reading.errors.push_back({{0, 1, 1}, "", "every weight is 0", "give something a weight"});
        priors.reset();
    }
    return reading;
}

FileReading read_spreads(const std::string& path, std::optional<model::Spreads>& spreads) {
    return read_table<model::Spreads>(
        path, model::read_spreads,
        "write spread KIND AMOUNT UNIT, with its basis behind it, such as: spread static 5 psi one gauge "
        "reading",
        spreads);
}

FileReading read_takeoff_table(const std::string& path, std::optional<model::TakeoffRules>& rules) {
    return read_table<model::TakeoffRules>(path, model::read_takeoff_rules,
                                           "write it as the shipped table does, model/catalogue/takeoff.txt",
                                           rules);
}

FileReading read_crew_table(const std::string& path, std::optional<model::CrewTable>& table) {
    return read_table<model::CrewTable>(
        path, model::read_crew_table, "write it as the shipped table does, model/catalogue/crew.txt", table);
}

}  // namespace evenhead::io
