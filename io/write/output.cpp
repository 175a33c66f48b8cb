#include "io/write/output.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <cerrno>
#include <csignal>
#include <filesystem>
#include <system_error>
#include <utility>

namespace evenhead::io {
namespace {

constexpr std::size_t buffer_size = 1 << 16;

/// The names of the siblings that exist at the moment, for a signal that ends the program.
constexpr std::size_t most_unfinished = 8;
std::array<std::atomic<const char*>, most_unfinished> unfinished{};
static_assert(std::atomic<const char*>::is_always_lock_free);

/// Holds back the signals that end a program while a name and its file must not fall apart.
class SignalsHeld {
  public:
    SignalsHeld() {
        sigset_t ending;
        ::sigemptyset(&ending);
        for (const int signal : {SIGINT, SIGTERM, SIGHUP}) ::sigaddset(&ending, signal);
        ::pthread_sigmask(SIG_BLOCK, &ending, &before_);
    }
    ~SignalsHeld() { ::pthread_sigmask(SIG_SETMASK, &before_, nullptr); }
    SignalsHeld(const SignalsHeld&) = delete;
    SignalsHeld& operator=(const SignalsHeld&) = delete;

  private:
    sigset_t before_{};
};

mode_t creation_mask() {
    const mode_t mask = ::umask(0);
    ::umask(mask);
    return mask;
}

}  // namespace

bool remove_unfinished_outputs() noexcept {
    bool any = false;
    for (const auto& name : unfinished)
        if (const char* path = name.load()) any = ::unlink(path) == 0 || any;
    return any;
}

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
    make_temporary(folder);
    const mode_t mode = exists ? (old.st_mode & 07777U) : (0666U & ~creation_mask());
    if (::fchmod(descriptor_, mode) != 0) fail(errno);
}

Output::Output(std::function<void(std::string_view)> taker) : taker_(std::move(taker)) {
    buffer_.reserve(buffer_size);
}

Output::~Output() {
    if (owned_ && descriptor_ >= 0) ::close(descriptor_);
    forget_temporary();
}

void Output::make_temporary(const std::string& folder) {
    const SignalsHeld held;
    temporary_ = folder + ".evenhead-XXXXXX";
    descriptor_ = ::mkstemp(temporary_.data());
    if (descriptor_ < 0) {
        const int error = errno;
        temporary_.clear();
        fail(error);
    }
    for (auto& name : unfinished) {
        const char* none = nullptr;
        if (name.compare_exchange_strong(none, temporary_.c_str())) break;
    }
}

/// Removes the sibling where it still has its name.
void Output::forget_temporary() {
    if (temporary_.empty()) return;
    const SignalsHeld held;
    ::unlink(temporary_.c_str());
    for (auto& name : unfinished) {
        const char* mine = temporary_.c_str();
        if (name.compare_exchange_strong(mine, nullptr)) break;
    }
    temporary_.clear();
}

void Output::write(std::string_view text) {
    buffer_.append(text);
    if (buffer_.size() >= buffer_size) flush();
}

void Output::flush() {
    std::string_view left = buffer_;
    if (taker_) {
        taker_(left);
        left = {};
    }
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
    forget_temporary();
}

bool Output::terminal() const {
    return descriptor_ >= 0 && ::isatty(descriptor_) == 1;
}

void Output::fail(int error) {
    // The destructor does not run when the constructor throws: clean up here.
    if (owned_ && descriptor_ >= 0) ::close(descriptor_);
    descriptor_ = -1;
    forget_temporary();
    buffer_.clear();
    std::string why = std::generic_category().message(error);
    std::string message = "cannot write " + name_ + ": " + why + ".";
    if (!target_.empty()) message += " Nothing was written; a file of that name stands as it was.";
    if (!owned_ && error == EPIPE) throw ReaderGone(message);
    throw WriteError(message);
}

}  // namespace evenhead::io
