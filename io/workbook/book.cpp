// The library writes a file. It is given one in memory, so that the result goes the way of every other
// output: whole to its place or not at all.
#include <fcntl.h>
#include <sys/mman.h>
#include <unistd.h>

#include <cerrno>
#include <stdexcept>
#include <string>
#include <system_error>

#include <fmt/format.h>

#include "io/workbook/book_parts.hpp"

namespace evenhead::io {
namespace {

constexpr lxw_color_t ink = 0x1F2A24, soft_ink = 0x5B665F, shade = 0xE9EDE8, line = 0x8A968E,
                      input_fill = 0xFFF5D9, input_line = 0xCDB671, bad_ink = 0x9B1C1C, link_ink = 0x1F4E79,
                      hairline = 0xB9C2BB, held_fill = 0xDDE2DD;
/// The file says when it was made. The same case has to give the same bytes, so it is always the same day.
constexpr time_t fixed_time = 946684800;  // 1 January 2000

void set_fill(lxw_format* format, lxw_color_t colour) {
    format_set_pattern(format, LXW_PATTERN_SOLID);
    format_set_fg_color(format, colour);
}

void set_hairline(lxw_format* format) {
    format_set_bottom(format, LXW_BORDER_HAIR);
    format_set_bottom_color(format, hairline);
}

void set_look(lxw_format* format, Look look) {
    if (look == Look::bad) {
        format_set_bold(format);
        format_set_font_color(format, bad_ink);
        return;
    }
    format_set_font_name(format, "Arial");
    format_set_font_size(format, 10);
    format_set_font_color(format, ink);
    format_set_align(format, LXW_ALIGN_VERTICAL_CENTER);
    switch (look) {
        case Look::title:
            format_set_font_size(format, 15);
            format_set_bold(format);
            break;
        case Look::verdict:
            format_set_font_size(format, 12);
            format_set_bold(format);
            break;
        case Look::section:
            format_set_bold(format);
            format_set_bottom(format, LXW_BORDER_THIN);
            format_set_bottom_color(format, line);
            break;
        case Look::heading:
        case Look::heading_left:
        case Look::heading_note:
            format_set_bold(format);
            format_set_text_wrap(format);
            format_set_align(format, look == Look::heading ? LXW_ALIGN_RIGHT : LXW_ALIGN_LEFT);
            if (look == Look::heading_note) format_set_indent(format, 1);
            set_fill(format, shade);
            format_set_bottom(format, LXW_BORDER_MEDIUM);
            format_set_bottom_color(format, line);
            break;
        case Look::wrapped:
            format_set_text_wrap(format);
            format_set_align(format, LXW_ALIGN_VERTICAL_TOP);
            break;
        case Look::small:
            format_set_text_wrap(format);
            format_set_align(format, LXW_ALIGN_VERTICAL_TOP);
            format_set_font_size(format, 9);
            format_set_font_color(format, soft_ink);
            break;
        case Look::input:
            set_fill(format, input_fill);
            format_set_border(format, LXW_BORDER_THIN);
            format_set_border_color(format, input_line);
            break;
        case Look::total:
            format_set_bold(format);
            format_set_top(format, LXW_BORDER_THIN);
            format_set_top_color(format, line);
            break;
        case Look::note:
            format_set_font_color(format, soft_ink);
            format_set_indent(format, 1);
            set_hairline(format);
            break;
        case Look::working:
            format_set_font_color(format, soft_ink);
            set_hairline(format);
            break;
        case Look::label:
            format_set_shrink(format);  // ids may be long
            set_hairline(format);
            break;
        case Look::result:
        case Look::row:
            set_hairline(format);
            break;
        case Look::balance:
            format_set_italic(format);
            set_fill(format, held_fill);
            break;
        case Look::bad_text:
            format_set_indent(format, 1);
            set_hairline(format);
            format_set_bold(format);
            format_set_font_color(format, bad_ink);
            break;
        case Look::link:
            format_set_underline(format, LXW_UNDERLINE_SINGLE);
            format_set_font_color(format, link_ink);
            set_hairline(format);
            break;
        case Look::text:
        case Look::bad:
            break;
    }
}

}  // namespace

PlainNumbers::PlainNumbers() : plain_(::newlocale(LC_NUMERIC_MASK, "C", nullptr)) {
    if (plain_ == nullptr) unwritten("out of memory");
    before_ = ::uselocale(plain_);
}

PlainNumbers::~PlainNumbers() {
    ::uselocale(before_);
    ::freelocale(plain_);
}

MemoryFile::MemoryFile() : descriptor_(::memfd_create("evenhead-workbook", MFD_CLOEXEC)) {
    if (descriptor_ < 0) unwritten(std::generic_category().message(errno));
}

MemoryFile::~MemoryFile() {
    ::close(descriptor_);
}

std::string MemoryFile::path() const {
    return fmt::format("/proc/self/fd/{}", descriptor_);
}

std::string MemoryFile::content() const {
    const off_t size = ::lseek(descriptor_, 0, SEEK_END);
    if (size < 0) unwritten(std::generic_category().message(errno));
    std::string all(static_cast<std::size_t>(size), '\0');
    for (off_t at = 0; at < size;) {
        const ssize_t count = ::pread(descriptor_, all.data() + at, static_cast<std::size_t>(size - at), at);
        if (count <= 0) unwritten(std::generic_category().message(count < 0 ? errno : EIO));
        at += count;
    }
    return all;
}

Book::Book(const std::string& title, std::string subject)
    : book_(workbook_new(memory_.path().c_str()), lxw_workbook_free) {
    if (book_ == nullptr) unwritten("out of memory");
    std::string shown = cell_text(title), author = "Evenhead";
    lxw_doc_properties properties{};
    properties.title = shown.data();
    properties.subject = subject.data();
    properties.author = author.data();
    properties.created = fixed_time;
    written(workbook_set_properties(book_.get(), &properties));
}

Sheet Book::add(const std::string& name) {
    lxw_worksheet* sheet = workbook_add_worksheet(book_.get(), name.c_str());
    if (sheet == nullptr) throw std::logic_error("no name of a sheet: " + name);
    worksheet_gridlines(sheet, LXW_HIDE_ALL_GRIDLINES);
    return {*this, sheet, name};
}

void Book::define(const std::string& name, const std::string& sheet, const std::string& cells) {
    written(
        workbook_define_name(book_.get(), name.c_str(), ("=" + quoted_sheet(sheet) + "!" + cells).c_str()));
}

lxw_format* Book::format(Look look, const std::string& numbers) {
    lxw_format*& format = formats_[{look, numbers}];
    if (format != nullptr) return format;
    format = workbook_add_format(book_.get());
    set_look(format, look);
    if (!numbers.empty()) format_set_num_format(format, numbers.c_str());
    return format;
}

void Book::write_to(Output& output) {
    written(workbook_close(book_.release()));  // frees it, whatever comes of it
    output.write(made_by_us(memory_.content()));
}

}  // namespace evenhead::io
