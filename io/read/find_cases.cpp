#include "io/read/find_cases.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <system_error>

#include "io/excerpt.hpp"
#include "io/read/rows.hpp"

namespace evenhead::io {
namespace {

namespace fs = std::filesystem;

bool ends_in(const fs::path& path, std::string_view ending) {
    std::string own = path.extension().string();
    for (char& c : own) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    return own == ending;
}

bool is_readings_table(std::string_view name) {
    return name == "readings" || name == "seen";
}

/// The first key of a TOML file; empty where none is found.
std::string first_key(const fs::path& path) {
    std::ifstream stream(path, std::ios::binary);
    std::string line;
    for (bool first = true; std::getline(stream, line); first = false) {
        std::string_view words = line;
        if (first && words.starts_with("\xEF\xBB\xBF")) words.remove_prefix(3);
        words = trimmed(words);
        if (words.empty() || words == "\r" || words.front() == '#') continue;
        words.remove_prefix(std::min(words.find_first_not_of("[ \t\""), words.size()));
        return std::string(words.substr(0, words.find_first_of(" \t=.]\"\r")));
    }
    return "";
}

/// A file of readings belongs to a case beside it. Most cases are told from one by their first key alone.
bool holds_readings_only(const fs::path& path) {
    if (!is_readings_table(first_key(path))) return false;
    const Document document = read_readings_document(path.string());
    return document.top.empty() && !document.tables.empty() &&
           std::all_of(document.tables.begin(), document.tables.end(),
                       [](const Table& table) { return is_readings_table(table.name); });
}

std::uintmax_t bytes_of(const fs::path& path) {
    std::error_code error;
    std::uintmax_t bytes = fs::file_size(path, error);
    if (error) return 0;
    if (path.filename() != "case.toml") return bytes;
    const fs::path folder = path.has_parent_path() ? path.parent_path() : ".";
    for (fs::directory_iterator entry(folder, error), end; !error && entry != end; entry.increment(error)) {
        if (!ends_in(entry->path(), ".csv")) continue;
        const std::uintmax_t table = entry->file_size(error);
        if (!error) bytes += table;
    }
    return bytes;
}

/// The place itself, whatever it is called; where it cannot be found, its name.
std::string place_itself(const fs::path& path) {
    std::error_code error;
    const fs::path whole = fs::weakly_canonical(path, error);
    return error ? path.string() : whole.string();
}

class Finder {
  public:
    /// False where the list is to be refused.
    bool name(const std::string& named) {
        named_ = named;
        const std::size_t before = found_.cases.size();
        if (!is_folder_of_cases(named)) return take(named, true);
        folders_.clear();
        if (!look_into(named == "." ? fs::path() : fs::path(named))) return false;
        if (found_.cases.size() == before)
            found_.refused = fmt::format(
                "{}: no case lies in this folder; a case is a file whose name ends in .toml", named);
        return found_.refused.empty();
    }

    FoundCases take_all() {
        if (!found_.refused.empty()) found_.cases.clear();
        std::sort(found_.cases.begin(), found_.cases.end(),
                  [](const FoundCase& left, const FoundCase& right) { return left.path < right.path; });
        return std::move(found_);
    }

  private:
    bool look_into(const fs::path& folder) {
        const fs::path place = folder.empty() ? fs::path(".") : folder;
        if (!folders_.insert(place_itself(place)).second) return true;  // a link that leads round in a circle
        std::vector<fs::path> names;
        std::error_code error;
        for (fs::directory_iterator entry(place, error), end; !error && entry != end; entry.increment(error))
            names.push_back(entry->path().filename());
        if (error) {
            found_.cases.push_back({place.string(), 0, error.message()});
            return true;
        }
        std::sort(names.begin(), names.end());
        for (const fs::path& each : names) {
            if (each.string().starts_with('.')) continue;
            const fs::path path = folder / each;
            if (ends_in(path, ".toml")) {
                if (fs::is_regular_file(path, error) && holds_readings_only(path)) continue;
                if (!take(path, false)) return false;
            } else if (fs::is_directory(path, error)) {
                if (!look_into(path)) return false;
            }
        }
        return true;
    }

    bool take(const fs::path& path, bool by_its_name) {
        const auto [other, fresh] = taken_.try_emplace(place_itself(path), path.string(), named_);
        const auto& [other_path, other_named] = other->second;
        if (fresh) {
            found_.cases.push_back({path.string(), bytes_of(path), ""});
        } else if (by_its_name || other_named != named_) {
            found_.refused = other_path == path.string() && other_named == named_
                                 ? fmt::format("{} is named twice; once will do", named_)
                                 : fmt::format("{} is named twice, by {} and by {}; once will do", other_path,
                                               other_named, named_);
            return false;
        }
        return true;
    }

    FoundCases found_;
    std::string named_;              // what of the command line is being looked at
    std::set<std::string> folders_;  // looked into for it
    std::map<std::string, std::pair<std::string, std::string>> taken_;  // file -> path and what named it
};

}  // namespace

bool is_folder_of_cases(const std::string& path) {
    std::error_code error;
    return fs::is_directory(path, error) && !ends_in(path, ".toml");
}

FoundCases find_cases(const std::vector<std::string>& named) {
    Finder finder;
    for (const std::string& one : named)
        if (!finder.name(one)) break;
    return finder.take_all();
}

}  // namespace evenhead::io
