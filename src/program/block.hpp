#pragma once
// Private to program/: one line of RS-274/NGC taken apart (NISTIR 6556, appendix E), and its values computed.

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace kerfwright::program {

/// Values of the parameters #1 to #5399.
using Parameters = std::vector<double>;
inline constexpr int kParameterCount = 5400;

/// What is wrong with a line, and where in it (1-based; 0: the whole line).
struct Complaint {
    int column = 0;
    std::string text;
};

inline constexpr int kNoCode = -1;
inline constexpr int kGroups = 15; ///< modal groups of G and M codes are numbered 0 to 13 (NISTIR 6556, table 4)
inline constexpr int kUngrouped = 14;

/// Words of one line. Codes are ten times their number: G92.1 is 921.
struct Block {
    std::uint32_t letters = 0; ///< bit for each letter that has a value, G, M and N apart
    std::array<double, 26> values{};
    std::array<int, 26> columns{}; ///< where a word stands in the squeezed line
    std::array<int, kGroups> g{};  ///< code of each modal group, or kNoCode
    std::array<int, kGroups> m{};
    std::vector<std::pair<int, double>> settings;
    std::string_view comment; ///< the last one, as written
    bool deleted = false;     ///< begins with "/"
    bool percent = false;     ///< a line of "%" alone

    [[nodiscard]] bool has(char letter) const { return (letters >> (letter - 'a') & 1U) != 0; }
    [[nodiscard]] double operator[](char letter) const { return values[static_cast<std::size_t>(letter - 'a')]; }
    [[nodiscard]] bool has_g(int code) const { return g[static_cast<std::size_t>(g_group(code))] == code; }
    [[nodiscard]] bool has_m(int code) const { return m[static_cast<std::size_t>(m_group(code))] == code; }
    [[nodiscard]] bool has_axis() const { return has('x') || has('y') || has('z'); }

    /// Modal group of a code times ten; kUngrouped for a code that the language does not have.
    [[nodiscard]] static int g_group(int code);
    [[nodiscard]] static int m_group(int code);
};

/// Reads lines one after another; keeps its buffers.
class BlockReader {
  public:
    BlockReader(const Parameters& parameters, int depth) : parameters_(parameters), depth_limit_(depth) {}

    /// Reads one line, without its end, into `block`. False when it stands against the language: see complaint().
    [[nodiscard]] bool read(std::string_view line, Block& block);
    [[nodiscard]] const Complaint& complaint() const { return complaint_; }
    /// Column in the line last read of a place in its squeezed form (Block::columns).
    [[nodiscard]] int column_of(int squeezed) const;

  private:
    bool squeeze(Block& block);
    bool read_segments(Block& block);
    bool read_word(Block& block);
    bool read_g(Block& block, double value, int at);
    bool read_m(Block& block, double value, int at);
    bool read_setting(Block& block);

    bool real_value(double& value);
    bool number(double& value);
    bool parameter(double& value);
    bool index(int& value, int low, int high, const char* what);
    bool expression(double& value);
    bool unary(double& value);
    bool fail(std::size_t at, std::string text);
    [[nodiscard]] char here() const { return at_ < text_.size() ? text_[at_] : '\0'; }
    bool take(std::string_view word);

    const Parameters& parameters_;
    int depth_limit_;
    int depth_ = 0;
    std::string_view line_;
    std::string text_; ///< the line squeezed: no blanks, no comments, small letters
    std::size_t at_ = 0;
    int m_words_ = 0;
    Complaint complaint_;
};

} // namespace kerfwright::program
