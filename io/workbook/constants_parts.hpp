// The constants of the formulas, each with a name, a unit and a source, on a sheet of their own.
#pragma once

#include "io/workbook/book_parts.hpp"
#include "io/write/sentences.hpp"

namespace evenhead::io {

void write_constants(Book& book, Sheet& sheet, const Speaker& speaker, bool letter);

}  // namespace evenhead::io
