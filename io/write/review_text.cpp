#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

#include "io/write/chance.hpp"
#include "io/write/check_answer.hpp"
#include "io/write/finding_list.hpp"
#include "io/write/gathered.hpp"
#include "io/write/issues.hpp"
#include "io/write/open_points.hpp"
#include "io/write/review.hpp"
#include "io/write/review_answer.hpp"
#include "io/write/sensitivity.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::ElementKind;

class ReviewText {
  public:
    ReviewText(Output& output, const ReviewSubject& subject, const Page& page)
        : output_(output),
          subject_(subject),
          review_(subject.review),
          speaker_{subject.system, ShownUnits::of_text(subject.system)},
          page_(page) {}

    void write() {
        answer();
        conditions();
        rules();
        list("No solution", unsolved_sentences(speaker_, review_.rules));
        list("Findings, each where it is worst; worst first", findings());
        claims();
        outage();
        margins();
        repairs();
        hangs_on();
        chances();
        runs_left_out();
        rule_set();
        list("Assumed", assumed_sentences(speaker_, subject_.layout, most_ids()));
        std::vector<std::string> warnings;
        for (const auto& issue : subject_.warnings) warnings.push_back(issue_sentence(issue, subject_.files));
        list("Warnings", warnings);
        list("Not checked", not_checked());
        output_.write("\n" + cautions(page_));
    }

  private:
    std::string run_id(Index run) const { return element_id(subject_.system, {ElementKind::run, run}); }
    std::string head_id(Index head) const { return element_id(subject_.system, {ElementKind::head, head}); }
    const std::string& condition_id(std::size_t condition) const {
        return review_.rules.conditions[condition].change.id;
    }
    std::string psi(double si, int more = 0) const {
        return speaker_.units.text(si, Dimension::pressure, more);
    }
    void say(const std::string& text, std::string_view first = "") {
        output_.write(paragraph(printable(text), page_.columns(), first));
    }
    void title(std::string_view words) { output_.write(fmt::format("\n{}\n", words)); }
    void list(std::string_view words, const std::vector<std::string>& sentences) {
        if (sentences.empty()) return;
        title(fmt::format("{} ({})", words, sentences.size()));
        const std::size_t shown = std::min(sentences.size(), page_.rows());
        for (std::size_t i = 0; i < shown; ++i) say(sentences[i], "- ");
        output_.write(and_more(sentences.size(), shown));
    }

    std::string where(std::size_t condition, Index run) const {
        return review_place(speaker_, review_.rules, condition, run);
    }

    void answer() {
        const ReviewAnswer answer = review_answer(speaker_, review_);
        output_.write(coloured(answer.verdict, answer.within ? Colour::good : Colour::bad, page_) + "\n");
        for (const std::string& sentence : answer.sentences) say(sentence);
    }

    void conditions() {
        title("Conditions");
        for (const solver::ReviewCondition& condition : review_.rules.conditions)
            say(condition.change.id + ": " + condition_words(speaker_, condition) + ".", "- ");
    }

    void rules() {
        title("The worst of each rule; * decides, ! fails");
        output_.write("\n");
        TextTable table({{"Condition", "", 13},
                         {"Run", "", 8},
                         {"Where", "", 8},
                         {"Value", "", 7},
                         {"Limit", "", 7},
                         {"Margin", "", 7},
                         {"", "", 2}});
        const solver::RuleRow* last = nullptr;
        for (const solver::RuleRow& row : review_.rules.rows) {
            const Dimension dimension = row.worst.dimension;
            if (last == nullptr || row.rule != last->rule || dimension != last->worst.dimension) {
                const std::string unit(speaker_.units.word(dimension));
                const std::string rule(rule_name(row.rule));
                table.add({unit.empty() ? rule : rule + ", " + unit, "", "", "", "", "", ""});
            }
            last = &row;
            const auto number = [&](double si) {
                return row.worst.judged && dimension != Dimension::none ? speaker_.units.number(si, dimension)
                                                                        : "-";
            };
            const std::string run = run_of_row(subject_.system, row);
            table.add({" " + condition_id(row.condition), run.empty() ? "-" : run,
                       row.worst.judged ? element_id(subject_.system, row.worst.subject) : "-",
                       number(row.worst.value), number(row.worst.limit),
                       margin_number(speaker_.units, row.worst),
                       fmt::format("{}{}", row.deciding ? "*" : "", row.worst.fails ? "!" : "")});
        }
        Page whole = page_;
        whole.all = true;
        // A rule's name that is wider than its column leaves the rest of its row empty, on a line of its own.
        std::string text = table.text(whole);
        for (std::size_t empty = text.find("\n\n"); empty != std::string::npos; empty = text.find("\n\n"))
            text.erase(empty, 1);
        output_.write(text);
    }

    /// Those of the same rule, side, condition and run are one, unless all are asked for.
    std::vector<std::string> findings() const {
        struct Line {
            const solver::ReviewFinding* worst;
            std::vector<std::string> others;
        };
        std::vector<Line> lines;
        std::map<std::tuple<solver::RuleId, bool, std::size_t, Index>, std::size_t> line_of;
        for (const solver::ReviewFinding& row : review_.rules.findings) {
            const auto [place, fresh] = line_of.try_emplace(
                {row.finding.rule, row.finding.upper, row.condition, row.run}, lines.size());
            if (fresh || page_.all)
                lines.push_back({&row, {}});
            else
                lines[place->second].others.push_back(element_id(subject_.system, row.finding.subject));
        }
        std::vector<std::string> sentences;
        for (const Line& line : lines) {
            std::string text = sentence_case(where(line.worst->condition, line.worst->run)) + ": " +
                               finding_sentence(speaker_, line.worst->finding, nullptr);
            if (!line.others.empty()) text += fmt::format(" Likewise {}.", id_list(line.others, 8));
            sentences.push_back(text + " " + finding_remedy(speaker_, line.worst->finding));
        }
        return sentences;
    }

    void claims() {
        const auto& rows = review_.rules.claims;
        if (rows.empty()) return;
        title("What the drawing states, as given");
        output_.write("\n");
        TextTable table({{"Where", "", 8},
                         {"Run", "", 8, true},
                         {"Stated", "", 9},
                         {"Computed", "", 9},
                         {"Off by", "", 8},
                         {"", "", 1, true}});
        for (const solver::Claim& row : rows)
            table.add({element_id(subject_.system, row.subject), run_id(row.run),
                       speaker_.units.limit(row.stated, row.dimension),
                       speaker_.units.text(row.computed, row.dimension), claim_off(row),
                       row.fails ? "!" : ""});
        output_.write(table.text(page_));
    }

    std::size_t most_ids() const { return page_.all ? static_cast<std::size_t>(-1) : 6; }
    std::string ids(const std::vector<Index>& heads) const {
        std::vector<std::string> names;
        names.reserve(heads.size());
        for (const Index head : heads) names.push_back(head_id(head));
        return id_list(names, most_ids());
    }
    void outage() {
        const solver::OutageReview& outage = review_.outage;
        if (outage.gates + outage.pipes + outage.left_out == 0) return;
        title("Outage");
        std::string tried = fmt::format("Shut in turn, as given: {} and {} of the mainline.",
                                        counted(outage.gates, "gate"), counted(outage.pipes, "pipe"));
        if (outage.left_out > 0) tried += fmt::format(" Not tried, for time: {} more.", outage.left_out);
        if (outage.rows.empty()) tried += " No head misses any of them.";
        say(tried);
        // What shuts the same heads off is one line: a stretch of main.
        std::vector<std::pair<std::string, std::vector<std::string>>> lines;
        std::map<std::string, std::size_t> line_of;
        for (std::size_t first = 0; first < outage.rows.size();) {
            std::size_t last = first;
            Gathered lost_in;  // what is lost, and in which runs
            for (; last < outage.rows.size() && outage.rows[last].closed == outage.rows[first].closed; ++last)
                lost_in.add(lost_words(outage.rows[last]), run_id(outage.rows[last].run));
            std::string lost;
            for (const auto& [words, runs] : lost_in.lines()) {
                const bool every = runs.size() == subject_.system.runs.size() && runs.size() > 1;
                lost += (lost.empty() ? "" : "; ") +
                        (every ? std::string("every run")
                               : (runs.size() > 1 ? "runs " : "run ") + id_list(runs, most_ids())) +
                        ": " + words;
            }
            const auto [place, fresh] = line_of.try_emplace(lost, lines.size());
            if (fresh) lines.push_back({lost, {}});
            lines[place->second].second.push_back(element_id(subject_.system, outage.rows[first].closed));
            first = last;
        }
        const std::size_t shown = std::min(lines.size(), page_.rows());
        for (std::size_t i = 0; i < shown; ++i)
            say(id_list(lines[i].second, most_ids()) + " shut: " + lines[i].first + ".", "- ");
        output_.write(and_more(lines.size(), shown));
    }
    std::string lost_words(const solver::Outage& row) const {
        if (row.unsolved) return "no proven solution";
        std::vector<Index> low;
        for (const Index head : row.heads)
            if (std::find(row.dry.begin(), row.dry.end(), head) == row.dry.end()) low.push_back(head);
        if (low.empty() && row.dry.size() == heads_of(row.run)) return "all dry";
        std::string text;
        if (!row.dry.empty()) text += ids(row.dry) + " dry";
        if (!low.empty()) text += (row.dry.empty() ? "" : ", ") + ids(low) + " low";
        return text;
    }
    std::size_t heads_of(Index run) const {
        std::size_t heads = subject_.layout.heads_on_mainline.size();
        for (const Index valve : subject_.system.runs[at(run)].valves)
            heads += subject_.layout.zone_heads[at(valve)].size();
        return heads;
    }

    void margins() {
        if (review_.margins.empty()) return;
        title("How far the supply can fall, as given");
        output_.write("\n");
        TextTable table({{"Head", "", 10},
                         {"Run", "", 10},
                         {"Fall", std::string(speaker_.units.word(Dimension::pressure)), 10},
                         {"", "", 24, true}});
        for (const solver::SupplyMargin& row : review_.margins) {
            table.add({head_id(row.head), run_id(row.run),
                       speaker_.units.number(row.drop, Dimension::pressure, 1),
                       std::string(margin_note(row))});
        }
        output_.write(table.text(page_));
        if (review_.margins_left_out > 0)
            say(fmt::format("Not tried, for time: {} more, behind these.",
                            counted(review_.margins_left_out, "head")));
    }

    void repairs() {
        const auto& rows = review_.repairs.rows;
        if (rows.empty() && review_.repairs.left_out == 0) return;
        title("Single changes, each tried");
        const std::size_t each = page_.all ? rows.size() : 3;
        std::size_t heads = 0;
        for (std::size_t first = 0; first < rows.size();) {
            std::size_t last = first;
            while (last < rows.size() && rows[last].head == rows[first].head &&
                   rows[last].run == rows[first].run)
                ++last;
            if (heads++ < page_.rows()) {
                std::string text = fmt::format("Head {} in run {} under {}: ", head_id(rows[first].head),
                                               run_id(rows[first].run), condition_id(rows[first].condition));
                for (std::size_t i = first; i < std::min(last, first + each); ++i)
                    text += fmt::format("{}{} +{}{}", i > first ? "; " : "", repair_words(speaker_, rows[i]),
                                        psi(rows[i].gain), rows[i].mends ? " (enough)" : "");
                say(text + ".", "- ");
            }
            first = last;
        }
        output_.write(and_more(heads, std::min(heads, page_.rows())));
        for (const std::string& sentence : repairs_left_out(review_.repairs)) say(sentence);
    }

    /// The head that decides most, and with all asked for that of every run.
    void hangs_on() {
        if (subject_.sensitivity == nullptr || subject_.sensitivity->empty()) return;
        title("What the pressure hangs on, as given");
        const auto margin = [&](const solver::HeadSensitivity& of) {
            const auto wanted = solver::wanted_pressure(subject_.system, of.head);
            return wanted ? of.pressure - *wanted : std::numeric_limits<double>::infinity();
        };
        const auto& all = *subject_.sensitivity;
        const auto least = std::min_element(all.begin(), all.end(), [&](const auto& one, const auto& other) {
            return margin(one) < margin(other);
        });
        for (auto of = all.begin(); of != all.end(); ++of)
            if (page_.all || of == least) output_.write("\n" + sensitivity_text(speaker_, *of, page_));
        if (!page_.all && all.size() > 1)
            say(fmt::format("The critical heads of {} more with --all.", counted(all.size() - 1, "run")));
    }
    void chances() {
        if (subject_.chance == nullptr || subject_.chance->heads.empty()) return;
        title("The chance of too little pressure");
        output_.write("\n" + chance_text(speaker_, *subject_.chance, *subject_.spreads, page_));
    }

    void runs_left_out() {
        if (subject_.runs_left_out > 0)
            say(fmt::format("Neither was asked of {}, whose heads have more to spare.",
                            counted(subject_.runs_left_out, "more run")));
    }

    void rule_set() {
        if (subject_.system.rule_set.empty()) return;
        std::vector<std::string> lines;
        for (const SetLimit& limit : limits_of_set(speaker_, subject_.layout))
            lines.push_back(fmt::format("{}: {} ({}).", limit.rule, limit.limit, limit.source));
        std::string words = "Rule set " + subject_.system.rule_set;
        title(printable(words));
        say(with_dot(subject_.system.rule_set_about));
        for (const std::string& line : lines) say(line, "- ");
    }

    std::vector<std::string> not_checked() const {
        NotCheckedList rows;
        rows.add(review_.rules.not_checked);
        return not_checked_sentences(subject_.system, rows, review_.rules.rules_off, most_ids());
    }

    Output& output_;
    const ReviewSubject& subject_;
    const solver::Review& review_;
    Speaker speaker_;
    const Page& page_;
};

}  // namespace

void write_review_text(Output& output, const ReviewSubject& subject, const Page& page) {
    ReviewText(output, subject, page).write();
}

}  // namespace evenhead::io
