#include <filesystem>
#include <string>
#include <vector>

#include "bench/bare_pass.hpp"
#include "bench/case_files.hpp"
#include "bench/parts.hpp"
#include "bench/sitting.hpp"
#include "bench/systems.hpp"
#include "io/read/case.hpp"

namespace evenhead::bench {
namespace {

// The case in a folder that goes with it, or that the settings name and keep.
class CaseFolder {
  public:
    CaseFolder(const Settings& settings, int heads) : keep_(!settings.case_folder.empty()) {
        folder_ = keep_
                      ? std::filesystem::path(settings.case_folder)
                      : std::filesystem::temp_directory_path() /
                            ("evenhead-bench-" + std::to_string(settings.seed) + "-" + std::to_string(heads));
        path_ = write_case(looped_system(heads, settings.seed).system, folder_).string();
    }
    ~CaseFolder() {
        std::error_code ignored;
        if (!keep_) std::filesystem::remove_all(folder_, ignored);
    }
    CaseFolder(const CaseFolder&) = delete;
    CaseFolder& operator=(const CaseFolder&) = delete;

    const std::string& path() const { return path_; }
    std::vector<std::string> tables() const {
        std::vector<std::string> files;
        for (const char* name : {"mains.csv", "laterals.csv", "heads.csv", "valves.csv", "runs.csv"})
            files.push_back((folder_ / name).string());
        return files;
    }

  private:
    bool keep_;
    std::filesystem::path folder_;
    std::string path_;
};

Measured read(const std::string& path) {
    const Stopwatch stopwatch;
    const io::CaseReading reading = io::read_case(path);
    return {stopwatch.passed(), 0, not_measured, reading.system ? nullptr : "refused"};
}

}  // namespace

void measure_reading(Report& report) {
    const int heads = report.settings().most_heads;
    const CaseFolder folder(report.settings(), heads);
    Row ours;
    ours.part = "reading";
    ours.what = "CSV tables, linked, layout";
    ours.who = "ours";
    ours.heads = heads;
    Sitting sitting(report);
    sitting.add(ours, [&] { return read(folder.path()); });
    Row bare = ours;
    bare.what = "split and hash ids";
    bare.who = "bare pass";
    sitting.add(bare, [&] {
        const Stopwatch stopwatch;
        const BareCount met = bare_pass(folder.tables());
        return Measured{stopwatch.passed(), 0, not_measured, met.points > 0 ? nullptr : "nothing met"};
    });
    sitting.run();
    report.ratio(heads == 1000000 ? "reading_1m_vs_bare" : "reading_vs_bare",
                 report.seconds("reading", ours.what, ours.who, heads) /
                     report.seconds("reading", bare.what, bare.who, heads));
}

}  // namespace evenhead::bench
