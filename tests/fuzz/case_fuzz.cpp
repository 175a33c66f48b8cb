// The case reader, and for what it accepts, everything behind it: balance, rules and what is written. The
// bytes are a case; behind a line "--- NAME" stands the file of that name beside it.
#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include "io/read/case.hpp"
#include "io/write/check.hpp"
#include "solver/network/network.hpp"
#include "solver/runs/runs.hpp"
#include "tests/fuzz/input_folder.hpp"
#include "tests/fuzz/require.hpp"
#include "tests/fuzz/target.hpp"

using namespace evenhead;

namespace {

constexpr std::string_view divider = "\n--- ";

bool is_file_name(std::string_view name) {
    return !name.empty() && name.size() <= 40 && name.front() != '.' &&
           std::all_of(name.begin(), name.end(), [](char c) {
               return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '.' || c == '-' || c == '_';
           });
}

/// Writes the files of an input into the folder; they are removed again with it.
class Written {
  public:
    Written(const fuzz::InputFolder& folder, std::string_view bytes) : folder_(folder) {
        std::size_t end = std::min(bytes.find(divider), bytes.size());
        folder_.write("case.toml", bytes.substr(0, end));
        while (end < bytes.size()) {
            const std::size_t name_begin = end + divider.size();
            const std::size_t name_end = std::min(bytes.find('\n', name_begin), bytes.size());
            const std::string_view name = bytes.substr(name_begin, name_end - name_begin);
            end = std::min(bytes.find(divider, name_end), bytes.size());
            if (!is_file_name(name) || name == "case.toml" || names_.size() == 20) continue;
            folder_.write(name, bytes.substr(name_end, end - name_end).substr(name_end < end ? 1 : 0));
            names_.push_back(name);
        }
    }
    ~Written() {
        for (const std::string_view name : names_) folder_.remove(name);
    }
    Written(const Written&) = delete;
    Written& operator=(const Written&) = delete;

  private:
    const fuzz::InputFolder& folder_;
    std::vector<std::string_view> names_;
};

void check(const io::CaseReading& reading, const std::string& path) {
    const model::System& system = *reading.system;
    io::Output output("/dev/null");
    const io::CheckSubject subject{system, reading.layout, reading.warnings, reading.files, path};
    const auto json = io::check_json(output, subject, io::Detail::all);
    const auto text = io::check_text(output, subject, {});
    solver::CheckOptions options;
    options.threads = 1;
    const auto summary =
        solver::check_runs(system, reading.layout, options,
                           [&](const solver::RunResult& result, const solver::RunFindings& findings) {
                               fuzz::require_sound(system, result);
                               json->add(result, findings);
                               text->add(result, findings);
                           });
    json->finish(summary, nullptr);
    text->finish(summary, nullptr);
    output.finish();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const fuzz::InputFolder folder;
    const Written written(folder, {reinterpret_cast<const char*>(data), size});
    const std::string path = folder.path("case.toml");

    const io::CaseReading reading = io::read_case(path);
    fuzz::require(reading.system.has_value() == reading.errors.empty(),
                  "there is either a system or what is wrong");
    fuzz::require_sound(reading.errors, reading.files, path);
    fuzz::require_sound(reading.warnings, reading.files, path);
    if (!reading.system) return 0;
    fuzz::require(!reading.system->supplies.empty() && !reading.system->runs.empty(),
                  "a case has a supply and a run");
    const std::vector<model::Issue> unknown = solver::unknown_values(*reading.system);
    fuzz::require_sound(unknown, reading.files, path);
    const std::size_t work = reading.system->points.size() * reading.system->runs.size();
    if (unknown.empty() && work <= 400) check(reading, path);  // larger ones teach nothing new
    return 0;
}
