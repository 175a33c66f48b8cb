// What `together` writes: which valves may be open at once, what is blocked and by what, what the mainline
// carries.
#pragma once

#include <string>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "io/write/row_sinks.hpp"
#include "model/system.hpp"
#include "solver/together/together.hpp"

namespace evenhead::io {

enum class TogetherTable { sets, blocked, branches };

struct TogetherSubject {
    const model::System& system;
    const solver::Together& together;
    std::string case_path;  ///< as the reader of the text would type it
    /// For JSON and CSV, where the text names the case.
    const std::vector<model::Issue>* warnings = nullptr;
    const std::vector<std::string>* files = nullptr;
};

/// Throws WriteError, as all of these.
void write_together_text(Output& output, const TogetherSubject& subject, const Page& page);
void write_together_json(Output& output, const TogetherSubject& subject);
void write_together_csv(Output& output, const TogetherSubject& subject, TogetherTable table);

/// "A, B and C": the valves of a set.
std::string set_words(const model::System& system, const solver::ValveSet& set);
std::vector<std::string> set_ids(const model::System& system, const solver::ValveSet& set);
/// How far the sets were gone through, in a sentence or two.
std::string how_far_words(const solver::Together& together);

}  // namespace evenhead::io
