// Room for what few rows of a long table give: a pointer where there is nothing.
#pragma once

#include <memory>
#include <optional>
#include <utility>

namespace evenhead::model {

/// Used like std::optional, copied like it (a copy holds a value of its own), but 8 bytes long.
template <class T>
class Seldom {
  public:
    Seldom() = default;
    Seldom(std::nullopt_t) {}
    Seldom(T value) : value_(std::make_unique<T>(std::move(value))) {}
    Seldom(const Seldom& other) : value_(other ? std::make_unique<T>(*other) : nullptr) {}
    Seldom(Seldom&&) noexcept = default;
    ~Seldom() = default;
    Seldom& operator=(const Seldom& other) {
        if (this != &other) value_ = other ? std::make_unique<T>(*other) : nullptr;
        return *this;
    }
    Seldom& operator=(Seldom&&) noexcept = default;

    bool has_value() const { return value_ != nullptr; }
    explicit operator bool() const { return has_value(); }
    T& operator*() { return *value_; }
    const T& operator*() const { return *value_; }
    T* operator->() { return value_.get(); }
    const T* operator->() const { return value_.get(); }
    T value_or(T otherwise) const { return value_ ? *value_ : std::move(otherwise); }
    void reset() { value_.reset(); }
    friend bool operator==(const Seldom& one, const T& other) { return one && *one == other; }

  private:
    std::unique_ptr<T> value_;
};

/// One value that many rows have in common. A copy shares it; `edit` parts this row from the others first.
template <class T>
class Shared {
  public:
    Shared() = default;
    Shared(T value) : value_(std::make_shared<T>(std::move(value))) {}

    const T& operator*() const { return value_ ? *value_ : usual(); }
    const T* operator->() const { return &**this; }
    /// Two that share have the same address; two that do not may still be alike.
    bool shares(const Shared& other) const { return value_ == other.value_; }
    T& edit() {
        if (value_.use_count() != 1) value_ = std::make_shared<T>(**this);
        return *value_;
    }

  private:
    static const T& usual() {
        static const T value;
        return value;
    }
    std::shared_ptr<T> value_;  ///< empty: as T is without being set, counted by nobody
};

}  // namespace evenhead::model
