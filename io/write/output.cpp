#include "io/write/output.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>
#include <system_error>
#include <vector>

namespace evenhead::io {
namespace {

constexpr std::size_t buffer_size = 1 << 16;

mode_t creation_mask() {
    const mode_t mask = ::umask(0);
    ::umask(mask);
    return mask;
}

}  // namespace

Output::Output(const std::string& path) {
    buffer_.reserve(buffer_size);
    if (path.empty()) {
        name_ = "standard output";
        descriptor_ = STDOUT_FILENO;
        return;
    }
    name_ = path;
    struct stat old {};
    const bool exists = ::stat(path.c_str(), &old) == 0;
    if (exists && S_ISDIR(old.st_mode)) fail(EISDIR);
    owned_ = true;
    if (exists && !S_ISREG(old.st_mode)) {
        descriptor_ = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
        if (descriptor_ < 0) fail(errno);
        return;
    }
    // A link keeps being a link: its target is what is replaced.
    std::error_code error;
    const auto resolved = std::filesystem::weakly_canonical(path, error);
    target_ = error ? path : resolved.string();
    // A file that its owner has made read-only is not replaced behind his back.
    if (exists && ::access(target_.c_str(), W_OK) != 0) fail(errno);
    const auto slash = target_.rfind('/');
    const std::string folder = slash == std::string::npos ? "" : target_.substr(0, slash + 1);
    std::string pattern = folder + ".evenhead-XXXXXX";
    std::vector<char> name(pattern.begin(), pattern.end());
    name.push_back('\0');
    descriptor_ = ::mkstemp(name.data());
    if (descriptor_ < 0) fail(errno);
    temporary_ = name.data();
    const mode_t mode = exists ? (old.st_mode & 07777U) : (0666U & ~creation_mask());
    if (::fchmod(descriptor_, mode) != 0) fail(errno);
}

Output::~Output() {
    if (owned_ && descriptor_ >= 0) ::close(descriptor_);
    if (!temporary_.empty()) ::unlink(temporary_.c_str());
}

void Output::write(std::string_view text) {
    buffer_.append(text);
    if (buffer_.size() >= buffer_size) flush();
}

void Output::flush() {
    std::string_view left = buffer_;
    while (!left.empty()) {
        const ssize_t count = ::write(descriptor_, left.data(), left.size());
        if (count < 0) {
            if (errno == EINTR) continue;
            fail(errno);
        }
        left.remove_prefix(static_cast<std::size_t>(count));
    }
    buffer_.clear();
}

void Output::finish() {
    flush();
    if (!owned_) return;
    if (!temporary_.empty() && ::fsync(descriptor_) != 0) fail(errno);
    const int descriptor = descriptor_;
    descriptor_ = -1;
    if (::close(descriptor) != 0) fail(errno);
    if (temporary_.empty()) return;
    if (::rename(temporary_.c_str(), target_.c_str()) != 0) fail(errno);
    temporary_.clear();
}

bool Output::terminal() const {
    return descriptor_ >= 0 && ::isatty(descriptor_) == 1;
}

void Output::fail(int error) {
    // The destructor does not run when the constructor throws: clean up here.
    if (owned_ && descriptor_ >= 0) ::close(descriptor_);
    descriptor_ = -1;
    if (!temporary_.empty()) ::unlink(temporary_.c_str());
    temporary_.clear();
    buffer_.clear();
    std::string why = std::generic_category().message(error);
    std::string message = "cannot write " + name_ + ": " + why + ".";
    if (!target_.empty()) message += " Nothing was written; a file of that name stands as it was.";
    throw WriteError(message);
}

}  // namespace evenhead::io
