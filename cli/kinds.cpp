// `evenhead kinds [KIND]`: the pipe catalogue.
#include <fmt/format.h>

#include <memory>
#include <string>
#include <vector>

#include "cli/verb.hpp"
#include "io/write/kinds.hpp"
#include "model/catalogue.hpp"
#include "model/nearest.hpp"

namespace evenhead::cli {
namespace {

struct KindsOptions {
    std::string kind;  ///< empty: the list of all
    OutputOptions output;
};

const model::PipeKind& known_kind(const std::string& name) {
    if (const model::PipeKind* kind = model::find_kind(name)) return *kind;
    std::vector<std::string_view> names;
    for (const model::PipeKind& kind : model::pipe_kinds()) names.push_back(kind.name);
    const auto nearest = model::nearest_name(name, names);
    throw UsageError(fmt::format("there is no pipe kind \"{}\"; {}`evenhead kinds` lists them all",
                                 io::printable(name),
                                 nearest ? fmt::format("the nearest is \"{}\"; ", *nearest) : ""));
}

std::string answer(const KindsOptions& options) {
    io::Page page;
    page.all = options.output.all;
    page.wide = options.output.wide;
    const std::string& format = options.output.format;
    if (options.kind.empty())
        return format == "json" ? io::kinds_json() : format == "csv" ? io::kinds_csv() : io::kinds_text(page);
    const model::PipeKind& kind = known_kind(options.kind);
    return format == "json"  ? io::kind_json(kind)
           : format == "csv" ? io::kind_csv(kind)
                             : io::kind_text(kind, page);
}

}  // namespace

void add_kinds(CLI::App& program, Action& action) {
    CLI::App* verb =
        program.add_subcommand("kinds", "Pipe by kind and size: bore, wall, rating, from the standards");
    const auto options = std::make_shared<KindsOptions>();
    verb->add_option("KIND", options->kind,
                     "print the sizes of this kind (pvc-sch40 ...); without it, list the kinds");
    add_output_options(*verb, options->output);
    verb->footer("Example: evenhead kinds pvc-cl200");
    verb->callback([&action, options] {
        action = [options] {
            const std::string text = answer(*options);  // before a file is touched
            io::Output output(options->output.output);
            output.write(text);
            output.finish();
            return Status::within_limits;
        };
    });
}

}  // namespace evenhead::cli
