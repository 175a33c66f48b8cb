// The sheets as one page that fetches nothing and runs no script: each sheet a printed page, with room to
// write.
#include <fmt/format.h>

#include "io/crew/sheet_markup.hpp"
#include "io/report/sections.hpp"

namespace evenhead::io {

void write_sheets_page(Output& output, const CrewSubject& subject, const std::vector<CrewSheet>& sheets) {
    Html html(output);
    const std::string title = case_title(subject.speaker.system, subject.case_path);
    const std::string about = sheet_subject(subject.speaker.system, subject.case_path);
    html.raw("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    html.raw(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
        "'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<meta name=\"color-scheme\" content=\"light dark\">\n");
    html.element("title", "Crew's sheets: " + title).raw("\n<style>\n");
    html.raw(page_style()).raw("</style>\n</head>\n<body>\n<header>\n");
    html.element("p class=\"kind\"", "Crew's sheets").raw("\n").element("h1", title);
    html.raw("\n<nav aria-label=\"Contents\"><ul>");
    for (const CrewSheet& sheet : sheets)
        html.raw(fmt::format("<li><a href=\"#{}\">{}</a></li>", sheet.name, html_text(sheet.title)));
    html.raw("</ul></nav>\n</header>\n<main>\n");
    for (const CrewSheet& sheet : sheets) write_sheet_markup(html, sheet, "", 2, about);
    html.raw(
        "</main>\n<footer><p>Computed by Evenhead from the case. For irrigation sprinklers, not for fire "
        "protection.</p></footer>\n</body>\n</html>\n");
}

}  // namespace evenhead::io
