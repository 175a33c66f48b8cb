// The library writes the name of somebody else's program into the file as its maker, and has no setting for
// it.
#include <zip.h>

#include <memory>
#include <string>
#include <string_view>

#include "io/workbook/book_parts.hpp"

namespace evenhead::io {
namespace {

/// What throws nothing itself says so in this.
class ZipError {
  public:
    ZipError() { zip_error_init(&error_); }
    ~ZipError() { zip_error_fini(&error_); }
    ZipError(const ZipError&) = delete;
    ZipError& operator=(const ZipError&) = delete;
    zip_error_t* get() { return &error_; }
    [[noreturn]] void raise() { unwritten(zip_error_strerror(&error_)); }

  private:
    zip_error_t error_;
};

using Source = std::unique_ptr<zip_source_t, decltype(&zip_source_free)>;
using Archive = std::unique_ptr<zip_t, decltype(&zip_discard)>;
using Entry = std::unique_ptr<zip_file_t, decltype(&zip_fclose)>;

/// What `read` (into a buffer, so many bytes; 0 at the end, -1 if it fails) has to give.
template <class Read>
std::string read_all(const Read& read) {
    std::string all;
    std::string part(1 << 16, '\0');
    for (;;) {
        const zip_int64_t count = read(part.data(), part.size());
        if (count < 0) unwritten("the workbook cannot be read again");
        if (count == 0) return all;
        all.append(part, 0, static_cast<std::size_t>(count));
    }
}

/// What stands between <tag> and </tag>, or the whole element, gives way to `words`.
void replace_element(std::string& text, const std::string& tag, const std::string& words, bool whole) {
    const std::string opening = "<" + tag + ">", closing = "</" + tag + ">";
    const std::size_t begin = text.find(opening), end = text.find(closing);
    if (begin == std::string::npos || end == std::string::npos) return;
    const std::size_t from = whole ? begin : begin + opening.size();
    text.replace(from, (whole ? end + closing.size() : end) - from, words);
}

/// An archive in memory. Its source outlives it, since what has been written is read from there.
struct MemoryArchive {
    MemoryArchive(std::string* bytes, int flags)
        : source(zip_source_buffer_create(bytes == nullptr ? nullptr : bytes->data(),
                                          bytes == nullptr ? 0 : bytes->size(), 0, error.get()),
                 zip_source_free) {
        if (source == nullptr) error.raise();
        archive.reset(zip_open_from_source(source.get(), flags, error.get()));
        if (archive == nullptr) error.raise();
        zip_source_keep(source.get());  // the archive, when it goes, gives back one hold of it
    }
    [[noreturn]] void fail() const { unwritten(zip_strerror(archive.get())); }

    ZipError error;
    Source source;
    Archive archive{nullptr, zip_discard};
};

std::string with_our_name(MemoryArchive& from, zip_uint64_t index) {
    const Entry entry(zip_fopen_index(from.archive.get(), index, 0), zip_fclose);
    if (entry == nullptr) from.fail();
    std::string about =
        read_all([&](char* to, std::size_t most) { return zip_fread(entry.get(), to, most); });
    replace_element(about, "Application", "Evenhead", false);
    replace_element(about, "AppVersion", "", true);  // of that other program
    return about;
}

}  // namespace

std::string made_by_us(std::string file) {
    constexpr zip_uint16_t no_time = 0, first_of_1980 = 33;  // as the library dates the parts
    constexpr std::string_view named = "docProps/app.xml";
    MemoryArchive from(&file, ZIP_RDONLY);
    // Into another archive, part by part as they are: to write where one reads shares memory in libzip 1.7.
    MemoryArchive to(nullptr, ZIP_TRUNCATE);
    std::string about;
    const zip_int64_t parts = zip_get_num_entries(from.archive.get(), 0);
    for (zip_uint64_t i = 0; i < static_cast<zip_uint64_t>(parts); ++i) {
        const char* name = zip_get_name(from.archive.get(), i, 0);
        if (name == nullptr) from.fail();
        const bool ours = name == named;
        if (ours) about = with_our_name(from, i);
        zip_source_t* part = ours ? zip_source_buffer(to.archive.get(), about.data(), about.size(), 0)
                                  : zip_source_zip(to.archive.get(), from.archive.get(), i, 0, 0, -1);
        if (part == nullptr) to.fail();
        const zip_int64_t added = zip_file_add(to.archive.get(), name, part, 0);
        if (added < 0) {
            zip_source_free(part);
            to.fail();
        }
        if (zip_file_set_dostime(to.archive.get(), static_cast<zip_uint64_t>(added), no_time, first_of_1980,
                                 0) < 0)
            to.fail();
    }
    if (zip_close(to.archive.get()) < 0) to.fail();
    static_cast<void>(to.archive.release());  // closed

    if (zip_source_open(to.source.get()) < 0) unwritten("the workbook cannot be read again");
    std::string result =
        read_all([&](char* into, std::size_t most) { return zip_source_read(to.source.get(), into, most); });
    zip_source_close(to.source.get());
    return result;
}

}  // namespace evenhead::io
