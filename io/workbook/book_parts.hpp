// A workbook in memory: sheets, cells and looks. Everything that knows the library that writes it.
#pragma once

#include <xlsxwriter.h>

#include <clocale>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <utility>

#include "io/workbook/sheet_names.hpp"
#include "io/write/output.hpp"

namespace evenhead::io {

/// How a cell looks, and so what it is.
enum class Look {
    title,
    text,
    wrapped,
    heading,       ///< over numbers
    heading_left,  ///< over labels
    heading_note,  ///< over notes
    label,
    note,     ///< words beside a number
    row,      ///< an empty cell of a table
    input,    ///< a number that may be changed
    result,   ///< computed from other cells
    working,  ///< computed on the way to a result
    total,    ///< what the sheet is for
    balance,  ///< from the balance, by no formula
    verdict,
    section,
    small,
    link,  ///< leads to another sheet
    bad_text,
    bad,  ///< laid over another look
};

/// "B7"; `fixed`: "$B$7". Rows and columns count from 0.
std::string cell_name(int row, int column, bool fixed = false);

/// The text as a string of the file can hold it: nothing that steers a screen, not without end.
std::string cell_text(std::string_view text);

/// Throws WriteError with the reason.
[[noreturn]] void unwritten(const std::string& why);
/// Throws WriteError where the library has failed.
void written(lxw_error error);

/// Decimals have a point while this lives, whatever the locale of the program.
class PlainNumbers {
  public:
    PlainNumbers();
    ~PlainNumbers();
    PlainNumbers(const PlainNumbers&) = delete;
    PlainNumbers& operator=(const PlainNumbers&) = delete;

  private:
    locale_t plain_, before_;
};

/// A file without a name.
class MemoryFile {
  public:
    MemoryFile();
    ~MemoryFile();
    MemoryFile(const MemoryFile&) = delete;
    MemoryFile& operator=(const MemoryFile&) = delete;
    std::string path() const;
    std::string content() const;

  private:
    int descriptor_;
};

/// The bytes of a workbook, which name us as the program that has made it, and no other. Throws WriteError.
std::string made_by_us(std::string file);

class Sheet;

class Book {
  public:
    explicit Book(const std::string& title, std::string subject = "Pressure-loss worksheets");

    /// Names that the book needs for itself are to be reserved before those that the case chooses.
    std::string reserve(std::string_view wanted) { return names_.give(wanted); }
    /// `name` as reserve() gave it.
    Sheet add(const std::string& name);
    /// A name of the whole book for a cell or a range: "$A$4:$A$9" on a sheet.
    void define(const std::string& name, const std::string& sheet, const std::string& cells);
    lxw_format* format(Look look, const std::string& numbers = "");
    /// Assembles the book and hands its bytes on. Throws WriteError. Nothing can be added afterwards.
    void write_to(Output& output);

  private:
    PlainNumbers plain_numbers_;
    MemoryFile memory_;
    std::unique_ptr<lxw_workbook, decltype(&lxw_workbook_free)> book_;
    SheetNames names_;
    std::map<std::pair<Look, std::string>, lxw_format*> formats_;
};

/// Paper and the lines that repeat on it.
struct PrintSetup {
    bool letter = true, landscape = false;
    int last_row = 0, last_column = 0;  ///< what is printed
    int heading_row = -1;     ///< repeated on every page; frozen on the screen, as the first column is
    std::string left, right;  ///< above every page
};

class Sheet {
  public:
    Sheet(Book& book, lxw_worksheet* sheet, std::string name)
        : book_(book), sheet_(sheet), name_(std::move(name)) {}

    /// Always a string, whatever it begins with; what could steer a screen is shown as "?".
    void text(int row, int column, std::string_view text, Look look = Look::text);
    /// The same, wrapped across several columns whose width is set, in a row that is high enough for it.
    void paragraph(int row, int first, int last, std::string_view text, Look look);
    /// Empty cells of that look.
    void blank(int row, int first, int last, Look look);
    /// NaN leaves the cell empty, but for its look.
    void number(int row, int column, double value, Look look, const std::string& numbers = "");
    /// `formula` without "="; `value`: what it gives, for those who do not compute.
    void formula(int row, int column, const std::string& formula, double value, Look look,
                 const std::string& numbers = "");
    void words(int row, int column, const std::string& formula, const std::string& value, Look look);
    /// A string that leads to another sheet.
    void link(int row, int column, std::string_view text, const std::string& sheet);
    void width(int first, int last, double characters);
    void height(int row, double points);
    /// Bold and dark red where the number is below zero.
    void warn_below_zero(int row, int column);
    void print(const PrintSetup& setup);

    const std::string& name() const { return name_; }
    /// 'lawn'!$B$7
    std::string reference(int row, int column) const;

  private:
    Book& book_;
    lxw_worksheet* sheet_;
    std::string name_;
    std::map<int, double> widths_, heights_;  // by column; by row, of paragraphs
};

}  // namespace evenhead::io
