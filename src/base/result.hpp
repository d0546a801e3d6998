#pragma once
// A fault that a person can mend is a value: where it is, what it is, what to do about it.

#include <cstdlib>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace kerfwright {

/// One fault of the input. `line` and `column` are 1-based; 0 means "not known".
struct Problem {
    std::string file;
    int line = 0;
    int column = 0;
    std::string what;
    std::string remedy;
};

/// "FILE:LINE:COLUMN: what; what to do", leaving out the parts that are not known.
[[nodiscard]] std::string to_string(const Problem& problem);

/// A value, or the problem that stands in its way.
/// REQUIRES: ok() before value(), !ok() before problem(); asking the other way is a bug and aborts.
template <class T>
class [[nodiscard]] Result {
  public:
    Result(T value) : state_(std::move(value)) {}
    Result(Problem problem) : state_(std::move(problem)) {}

    [[nodiscard]] bool ok() const { return state_.index() == 0; }
    explicit operator bool() const { return ok(); }

    [[nodiscard]] T& value() & { return ok() ? std::get<0>(state_) : throw_away<T&>(); }
    [[nodiscard]] const T& value() const& { return ok() ? std::get<0>(state_) : throw_away<const T&>(); }
    [[nodiscard]] T&& value() && { return ok() ? std::move(std::get<0>(state_)) : throw_away<T&&>(); }
    [[nodiscard]] const Problem& problem() const { return ok() ? throw_away<const Problem&>() : std::get<1>(state_); }

  private:
    template <class U>
    [[noreturn]] static U throw_away() {
        std::abort();
    }
    std::variant<T, Problem> state_;
};

/// For functions that give nothing but may fail.
struct Done {};

} // namespace kerfwright
