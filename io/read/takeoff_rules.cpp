#include "io/read/takeoff_rules.hpp"

#include <utility>

#include "io/read/source.hpp"
#include "model/catalogue/reader.hpp"

namespace evenhead::io {

FileReading read_takeoff_table(const std::string& path, std::optional<model::TakeoffRules>& rules) {
    Document document;
    document.files.push_back(path);
    FileReading reading;
    if (const auto text = read_source(path, 0, {}, false, document)) {
        try {
            rules = model::read_takeoff_rules(*text);
        } catch (const model::tables::LineFault& fault) {
            document.errors.push_back({{0, fault.line, 1},
                                       "",
                                       fault.words,
                                       "write it as the shipped table does, model/catalogue/takeoff.txt"});
        }
    }
    reading.files = document.files;
    reading.errors = std::move(document.errors);
    return reading;
}

}  // namespace evenhead::io
