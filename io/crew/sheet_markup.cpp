#include "io/crew/sheet_markup.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "io/crew/sheet_parts.hpp"

namespace evenhead::io {
namespace {

class SheetMarkup {
  public:
    SheetMarkup(Html& html, int level) : html_(html), level_(level) {}

    void write(const CrewSheet& of, std::string_view prefix, const std::string& title) {
        html_.raw(
            fmt::format("<section class=\"crew\" id=\"{0}{1}\" aria-labelledby=\"{0}{1}-title\">\n"
                        "<h{2} id=\"{0}{1}-title\">{3}</h{2}>\n",
                        prefix, of.name, level_, html_text(of.title)));
        html_.element("p class=\"printed\"", title).raw("\n");
        if (std::any_of(of.tables.begin(), of.tables.end(), is_filled_in))
            html_.element("p class=\"printed\"", "By ______________________  Date ______________").raw("\n");
        for (const std::string& sentence : of.answer) html_.element("p", sentence).raw("\n");
        for (const SheetTable& one : of.tables)
            if (!one.form) table(one);
        list("Take care", of.cautions);
        list("Counted with", of.notes);
        html_.raw("</section>\n");
    }

  private:
    static bool is_filled_in(const SheetTable& table) {
        return !table.form && std::any_of(table.columns.begin(), table.columns.end(),
                                          [](const SheetColumn& column) { return column.blank; });
    }

    void list(std::string_view heading, const std::vector<std::string>& sentences) {
        if (sentences.empty()) return;
        html_.element(fmt::format("h{}", level_ + 1), heading).raw("\n<ul class=\"sentences\">\n");
        for (const std::string& sentence : sentences)
            html_.element("li", with_dot(sentence_case(sentence))).raw("\n");
        html_.raw("</ul>\n");
    }

    /// Every row: what is folded away would not be done.
    void table(const SheetTable& of) {
        if (of.rows.empty()) {
            html_.element("p class=\"none\"", of.title + ": none.").raw("\n");
            return;
        }
        std::vector<std::size_t> shown;
        for (std::size_t c = 0; c < of.columns.size(); ++c)
            if (!of.columns[c].detail && !nothing_in(of, c)) shown.push_back(c);
        html_.raw(fmt::format(
            "<div class=\"rows\" role=\"region\" tabindex=\"0\" aria-label=\"{0}\"><table{1}><caption>{0}"
            "</caption>\n<thead><tr>",
            html_text(of.title), is_filled_in(of) ? " class=\"form\"" : ""));
        for (const std::size_t c : shown) {
            const SheetColumn& column = of.columns[c];
            // What names a row stands left, even where it is a number.
            const bool number = column.number && c != shown.front();
            html_.raw(fmt::format("<th scope=\"col\"{}>{}", class_of(number, column.roomy),
                                  html_text(column.title)));
            if (!column.unit.empty()) html_.raw(fmt::format(" <small>{}</small>", html_text(column.unit)));
            html_.raw("</th>");
        }
        html_.raw("</tr></thead>\n<tbody>\n");
        for (const auto& row : of.rows) {
            html_.raw("<tr>");
            for (const std::size_t c : shown)
                if (c == shown.front())
                    html_.element("th scope=\"row\"", row[c].words);
                else if (of.columns[c].blank)
                    html_.raw("<td class=\"fill\"></td>");
                else
                    html_.element("td" + std::string(class_of(of.columns[c].number, of.columns[c].roomy)),
                                  row[c].words);
            html_.raw("</tr>\n");
        }
        html_.raw("</tbody></table></div>\n");
    }

    static std::string_view class_of(bool number, bool roomy) {
        return number  ? roomy ? " class=\"number roomy\"" : " class=\"number\""
               : roomy ? " class=\"roomy\""
                       : "";
    }

    Html& html_;
    const int level_;
};

}  // namespace

std::string sheet_subject(const model::System& system, const std::string& case_path) {
    std::string words = case_title(system, case_path);
    if (!system.job.empty()) words += ". Job " + system.job;
    if (!system.date.empty()) words += ". Case of " + system.date;
    return words;
}

void write_sheet_markup(Html& html, const CrewSheet& sheet, std::string_view prefix, int level,
                        const std::string& title) {
    SheetMarkup(html, level).write(sheet, prefix, title);
}

}  // namespace evenhead::io
