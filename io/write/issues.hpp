// What is wrong with a case, as lines of text: file, line and column, the row, what is wrong, what would be
// right, and the line itself with a mark under the place.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "model/system.hpp"

namespace evenhead::io {

class SourceFile;

/// Prints issues one by one, and reads each file once for the lines.
class IssuePrinter {
  public:
    /// `files`: Place::file; a name is looked for as it is, then beside the case.
    IssuePrinter(const std::vector<std::string>& files, std::string case_path);
    ~IssuePrinter();

    /// `garden.toml:12:5: error: heads L4: unknown key "elv".`, the mend, the line and a mark under the
    /// place, each on a line of its own. A file that cannot be read leaves the last two out. `kind`: "error"
    /// or "warning".
    std::string text(const model::Issue& issue, std::string_view kind);

  private:
    std::string source_lines(const model::Issue& issue, const std::string& file);

    const std::vector<std::string>& files_;
    std::string case_path_;
    std::map<std::string, std::unique_ptr<SourceFile>> sources_;
};

/// The file of an issue as its case names it; one without a file is the case's own.
const std::string& issue_file(const model::Issue& issue, const std::vector<std::string>& files,
                              const std::string& case_path);
/// `garden.toml:12:5`, or as much of it as is known.
std::string issue_place(const model::Issue& issue, const std::vector<std::string>& files,
                        const std::string& case_path);

/// The same in one sentence, for a report: "garden.toml line 12, pipe a-b: ...".
std::string issue_sentence(const model::Issue& issue, const std::vector<std::string>& files);

/// `text` with control characters other than the line break replaced by "?".
std::string printable_lines(std::string_view text);

}  // namespace evenhead::io
