#pragma once
// Private to program/: words to lines, by what the controller takes.

#include "shop/machine.hpp"

#include <cstdint>
#include <string>
#include <string_view>

namespace kerfwright::program {

/// Fixed-point text of value / 10^decimals: always a point and a digit behind it, no needless zeros, never "-0.0".
[[nodiscard]] std::string decimal(std::int64_t value, int decimals);

/// `text` with what comments may not hold replaced: printable ASCII without ( ) % : ; stays.
[[nodiscard]] std::string plain_comment(std::string_view text);

/// Builds a program line by line: numbers, spaces, comments and the longest line are seen to here.
class BlockWriter {
  public:
    explicit BlockWriter(const shop::Abilities& abilities) : able_(abilities) {}

    /// One word, or several that must stay together.
    void add(std::string_view word);
    /// A word that may go on a line of its own before this one when the line gets too long (F, S).
    void add_movable(std::string_view word);
    /// Ends the line. Lines without words are left out.
    void finish();
    /// A comment on lines of its own, broken between words.
    void comment(std::string_view text);

    [[nodiscard]] bool too_long() const { return too_long_; }
    [[nodiscard]] const std::string& text() const { return text_; }

  private:
    [[nodiscard]] std::size_t room() const;
    void put(std::string line);

    const shop::Abilities& able_;
    std::string text_;
    std::string words_, movable_;
    int number_ = 0;
    bool too_long_ = false;
};

} // namespace kerfwright::program
