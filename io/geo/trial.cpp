// A case that is read before it is written where it belongs.
#include <unistd.h>

#include <filesystem>

#include "io/geo/survey_parts.hpp"
#include "io/write/output.hpp"

namespace evenhead::io {
namespace {

/// A folder of one's own that goes when it is done with.
class TemporaryFolder {
  public:
    TemporaryFolder() {
        std::error_code error;
        std::string pattern =
            (std::filesystem::temp_directory_path(error) / "evenhead-survey-XXXXXX").string();
        if (error || ::mkdtemp(pattern.data()) == nullptr)
            throw WriteError("no folder could be made for a trial of the case");
        path_ = pattern;
    }
    ~TemporaryFolder() {
        std::error_code error;
        std::filesystem::remove_all(path_, error);
    }
    TemporaryFolder(const TemporaryFolder&) = delete;
    TemporaryFolder& operator=(const TemporaryFolder&) = delete;
    std::string file(const std::string& name) const { return (path_ / name).string(); }

  private:
    std::filesystem::path path_;
};

}  // namespace

CaseReading read_on_trial(const std::string& toml) {
    const TemporaryFolder folder;
    const std::string path = folder.file("case.toml");
    Output output(path);
    output.write(toml);
    output.finish();
    return read_case(path);
}

}  // namespace evenhead::io
