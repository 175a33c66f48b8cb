// The crew's sheets, as `evenhead sheets` writes them on a page of their own.
#include <fmt/format.h>

#include "io/crew/sheet_markup.hpp"
#include "io/report/sections.hpp"

namespace evenhead::io {

void write_sheets_section(const ReportParts& parts) {
    if (parts.answers.sheets == nullptr) return;
    parts.html.raw(
        "<section id=\"sheets\" aria-labelledby=\"sheets-title\">\n<h2 id=\"sheets-title\">Crew's "
        "sheets</h2>\n"
        "<p class=\"about\">");
    bool first = true;
    for (const CrewSheet& sheet : *parts.answers.sheets) {
        parts.html.raw(fmt::format("{}<a href=\"#sheet-{}\">{}</a>", first ? "" : ", ", sheet.name,
                                   html_text(sheet.title)));
        first = false;
    }
    parts.html.raw(". Printed, each sheet is a page.</p>\n");
    const CheckSubject& subject = parts.facts.subject;
    const std::string title = sheet_subject(subject.system, subject.case_path);
    for (const CrewSheet& sheet : *parts.answers.sheets)
        write_sheet_markup(parts.html, sheet, "sheet-", 3, title);
    parts.html.raw("</section>\n");
}

}  // namespace evenhead::io
