#include "io/write/finding_list.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace evenhead::io {

std::string id_list(const std::vector<std::string>& ids, std::size_t most) {
    std::string text;
    const std::size_t shown = ids.size() <= most ? ids.size() : most - 1;
    for (std::size_t i = 0; i < shown; ++i) {
        if (i > 0) text += i + 1 == ids.size() ? " and " : ", ";
        text += ids[i];
    }
    if (ids.size() > shown) text += fmt::format(" and {} more", ids.size() - shown);
    return text;
}

double finding_severity(const solver::Finding& finding) {
    if (finding.limit != 0 && std::isfinite(finding.limit)) return finding.margin / std::abs(finding.limit);
    return -std::numeric_limits<double>::infinity();
}

void FindingList::add(const solver::Finding& finding, const solver::RunResult* result) {
    const double severity = finding_severity(finding);
    const std::size_t order = groups_.size();
    auto [place, fresh] = groups_.try_emplace({finding.rule, finding.subject.kind, finding.subject.index});
    Group& group = place->second;
    if (fresh) {
        group.severity = std::numeric_limits<double>::infinity();
        group.order = order;
        group.runs = 0;
    }
    ++group.runs;
    if (severity >= group.severity) return;
    group.severity = severity;
    group.sentence = finding_sentence(speaker_, finding, result);
    group.remedy = finding_remedy(speaker_, finding);
    group.run = result == nullptr ? "" : speaker_.system.runs[static_cast<std::size_t>(result->run)].id;
    group.subject = element_id(speaker_.system, finding.subject);
    group.finding = finding;
}

std::vector<FindingList::Line> FindingList::merged(const std::vector<const Group*>& sorted, bool none,
                                                   bool by_run) {
    std::vector<Line> lines;
    std::map<std::tuple<solver::RuleId, bool, std::string, std::size_t>, std::size_t> line_of;
    for (const Group* group : sorted) {
        const auto [place, fresh] = line_of.try_emplace(
            {group->finding.rule, group->finding.upper, by_run ? group->run : "", by_run ? group->runs : 0},
            lines.size());
        if (fresh || none)
            lines.push_back({group, {}});
        else
            lines[place->second].others.push_back(group->subject);
    }
    return lines;
}

std::vector<const FindingList::Group*> FindingList::groups() const {
    std::vector<const Group*> sorted;
    for (const auto& [key, group] : groups_) sorted.push_back(&group);
    std::sort(sorted.begin(), sorted.end(), [](const Group* left, const Group* right) {
        return std::tie(left->severity, left->order) < std::tie(right->severity, right->order);
    });
    return sorted;
}

std::vector<std::string> FindingList::sentences(const Page& page) const {
    const std::vector<const Group*> sorted = groups();
    auto lines = merged(sorted, page.all, true);
    // Thousands of heads with a valve each have a run each: then other runs' findings follow the worst as
    // well.
    const bool by_run = lines.size() <= page.rows();
    if (!by_run) lines = merged(sorted, page.all, false);
    std::vector<std::string> sentences;
    for (const auto& [group, others] : lines) {
        std::string text;
        if (!group->run.empty()) {
            text = "Run " + group->run;
            if (group->runs > 1) text += fmt::format(" and {} more", group->runs - 1);
            text += ": ";
        }
        text += group->sentence;
        if (!others.empty())
            text += fmt::format(" Likewise {}{}.", id_list(others, 8),
                                by_run ? "" : ", in this or in other runs");
        sentences.push_back(text + " " + group->remedy);
    }
    return sentences;
}

}  // namespace evenhead::io
