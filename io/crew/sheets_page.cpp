// The sheets as one page that fetches nothing and runs no script: each sheet a printed page, with room to
// write.
#include <fmt/format.h>

#include "io/crew/sheet_parts.hpp"
#include "io/crew/sheets.hpp"
#include "io/report/html.hpp"
#include "io/report/sections.hpp"

namespace evenhead::io {
namespace {

constexpr std::string_view sheet_style =
    ".crew table { width: 100%; }\n"
    ".crew td.fill { border-left: 1px solid var(--rule); border-right: 1px solid var(--rule); min-width: "
    "5rem; }\n"
    ".crew .rows { margin: 0 0 1.6rem; }\n"
    "@media print { .crew { break-before: page; } .crew:first-child { break-before: auto; }\n"
    "  .crew h2 { margin: 0 0 2mm; } .crew td.fill { min-width: 18mm; } }\n";

class SheetsPage {
  public:
    SheetsPage(Output& output, const CrewSubject& subject) : html_(output), subject_(subject) {}

    void write(const std::vector<CrewSheet>& sheets) {
        const std::string title = case_title(subject_.speaker.system, subject_.case_path);
        html_.raw("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
        html_.raw(
            "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
            "'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
            "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
            "<meta name=\"color-scheme\" content=\"light dark\">\n");
        html_.element("title", "Crew's sheets: " + title).raw("\n<style>\n");
        html_.raw(page_style()).raw(sheet_style).raw("</style>\n</head>\n<body>\n<header>\n");
        html_.element("p class=\"kind\"", "Crew's sheets").raw("\n").element("h1", title);
        html_.raw("\n<nav aria-label=\"Contents\"><ul>");
        for (const CrewSheet& sheet : sheets)
            html_.raw(fmt::format("<li><a href=\"#{}\">{}</a></li>", sheet.name, html_text(sheet.title)));
        html_.raw("</ul></nav>\n</header>\n<main>\n");
        for (const CrewSheet& sheet : sheets) this->sheet(sheet, title);
        html_.raw(
            "</main>\n<footer><p>Computed by Evenhead from the case. For irrigation sprinklers, not for fire "
            "protection.</p></footer>\n</body>\n</html>\n");
    }

  private:
    void list(std::string_view heading, const std::vector<std::string>& sentences) {
        if (sentences.empty()) return;
        html_.element("h3", heading).raw("\n<ul class=\"sentences\">\n");
        for (const std::string& sentence : sentences)
            html_.element("li", with_dot(sentence_case(sentence))).raw("\n");
        html_.raw("</ul>\n");
    }

    void sheet(const CrewSheet& of, const std::string& title) {
        html_.raw(fmt::format(
            "<section class=\"crew\" id=\"{0}\" aria-labelledby=\"{0}-title\">\n<h2 id=\"{0}-title\">",
            of.name));
        html_.text(of.title).raw("</h2>\n").element("p class=\"printed\"", title).raw("\n");
        for (const std::string& sentence : of.answer) html_.element("p", sentence).raw("\n");
        for (const SheetTable& one : of.tables)
            if (!one.form) table(one);
        list("Take care", of.cautions);
        list("Counted with", of.notes);
        html_.raw("</section>\n");
    }

    /// Every row: what is folded away would not be done.
    void table(const SheetTable& of) {
        if (of.rows.empty()) {
            html_.element("p class=\"none\"", of.title + ": none.").raw("\n");
            return;
        }
        html_.raw(fmt::format(
            "<div class=\"rows\" role=\"region\" tabindex=\"0\" aria-label=\"{0}\"><table><caption>{0}"
            "</caption>\n<thead><tr>",
            html_text(of.title)));
        for (std::size_t c = 0; c < of.columns.size(); ++c) {
            const SheetColumn& column = of.columns[c];
            if (column.detail || nothing_in(of, c)) continue;
            html_.raw(fmt::format("<th scope=\"col\"{}>{}", column.number ? " class=\"number\"" : "",
                                  html_text(column.title)));
            if (!column.unit.empty()) html_.raw(fmt::format(" <small>{}</small>", html_text(column.unit)));
            html_.raw("</th>");
        }
        html_.raw("</tr></thead>\n<tbody>\n");
        std::vector<bool> nothing;
        for (std::size_t c = 0; c < of.columns.size(); ++c) nothing.push_back(nothing_in(of, c));
        for (const auto& row : of.rows) {
            html_.raw("<tr>");
            bool first = true;
            for (std::size_t c = 0; c < row.size(); ++c) {
                const SheetColumn& column = of.columns[c];
                if (column.detail || nothing[c]) continue;
                if (first)
                    html_.element("th scope=\"row\"", row[c].words);
                else if (column.blank)
                    html_.raw("<td class=\"fill\"></td>");
                else
                    html_.element(column.number ? "td class=\"number\"" : "td", row[c].words);
                first = false;
            }
            html_.raw("</tr>\n");
        }
        html_.raw("</tbody></table></div>\n");
    }

    Html html_;
    const CrewSubject& subject_;
};

}  // namespace

void write_sheets_page(Output& output, const CrewSubject& subject, const std::vector<CrewSheet>& sheets) {
    SheetsPage(output, subject).write(sheets);
}

}  // namespace evenhead::io
