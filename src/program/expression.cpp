// Values of words: numbers, parameters, expressions (NISTIR 6556, 3.3.2). Angles are in degrees.

#include "program/block.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <numbers>

namespace kerfwright::program {
namespace {

constexpr double kDegree = std::numbers::pi / 180;

enum class Operator { power, times, over, modulo, plus, minus, either, exclusive, both, close };

int strength(Operator op) {
    switch (op) {
    case Operator::power:
        return 3;
    case Operator::times:
    case Operator::over:
    case Operator::modulo:
        return 2;
    case Operator::close:
        return 0;
    default:
        return 1;
    }
}

/// Nothing when it cannot be computed; `left` takes the value.
const char* apply(Operator op, double& left, double right) {
    switch (op) {
    case Operator::power:
        if (left < 0 && right != std::round(right)) return "a negative number to a power that is not whole";
        left = std::pow(left, right);
        break;
    case Operator::times:
        left *= right;
        break;
    case Operator::over:
        if (right == 0) return "a division by zero";
        left /= right;
        break;
    case Operator::modulo:
        if (right == 0) return "a division by zero";
        left = std::fmod(left, right);
        if (left < 0) left += std::abs(right);
        break;
    case Operator::plus:
        left += right;
        break;
    case Operator::minus:
        left -= right;
        break;
    case Operator::either:
        left = left != 0 || right != 0 ? 1 : 0;
        break;
    case Operator::exclusive:
        left = (left != 0) != (right != 0) ? 1 : 0;
        break;
    case Operator::both:
        left = left != 0 && right != 0 ? 1 : 0;
        break;
    case Operator::close:
        break;
    }
    return std::isfinite(left) ? nullptr : "a value that is too large";
}

} // namespace

bool BlockReader::take(std::string_view word) {
    if (std::string_view(text_).substr(at_, word.size()) != word) return false;
    at_ += word.size();
    return true;
}

bool BlockReader::real_value(double& value) {
    const char c = here();
    if ((c >= '0' && c <= '9') || c == '.' || c == '-' || c == '+') return number(value);
    if (c != '[' && c != '#' && !(c >= 'a' && c <= 'z'))
        return fail(at_, c == '\0' ? "a value is missing at the end of the line" : "a value is missing");
    if (++depth_ > depth_limit_)
        return fail(at_, fmt::format("brackets and parameters nested more than {} deep", depth_limit_));
    const bool good = c == '[' ? expression(value) : c == '#' ? parameter(value) : unary(value);
    --depth_;
    return good;
}

bool BlockReader::number(double& value) {
    const std::size_t start = at_;
    bool negative = false;
    if (here() == '+' || here() == '-') negative = text_[at_++] == '-';
    const char c = here();
    if (!((c >= '0' && c <= '9') || c == '.')) return fail(start, "a sign without a number");
    const char* first = text_.data() + at_;
    const char* last = text_.data() + text_.size();
    const auto [end, error] = std::from_chars(first, last, value, std::chars_format::fixed);
    if (error != std::errc{}) {
        if (error == std::errc::result_out_of_range) return fail(start, "a number that is too large or too small");
        return fail(start, "a point without a digit");
    }
    at_ += static_cast<std::size_t>(end - first);
    if (negative) value = -value;
    return true;
}

bool BlockReader::parameter(double& value) {
    ++at_; // #
    int which = 0;
    if (!index(which, 1, kParameterCount - 1, "a parameter number")) return false;
    value = parameters_[static_cast<std::size_t>(which)];
    return true;
}

bool BlockReader::expression(double& value) {
    const auto next_operator = [&](Operator& op) {
        static constexpr struct {
            std::string_view word;
            Operator op;
        } kOperators[] = {
            {"]", Operator::close},       {"**", Operator::power}, {"*", Operator::times},    {"/", Operator::over},
            {"+", Operator::plus},        {"-", Operator::minus},  {"mod", Operator::modulo}, {"or", Operator::either},
            {"xor", Operator::exclusive}, {"and", Operator::both},
        };
        for (const auto& [word, meaning] : kOperators)
            if (take(word)) {
                op = meaning;
                return true;
            }
        return fail(at_, here() == '\0' ? "a bracket is not closed" : "an operator or \"]\" is missing");
    };
    // Operators wait while a stronger one follows; there are three strengths, so at most three wait.
    double values[4];
    Operator waiting[4];
    int count = 0;
    const std::size_t start = at_++; // [
    while (true) {
        if (!real_value(values[count])) return false;
        Operator op{};
        if (!next_operator(op)) return false;
        while (count > 0 && strength(waiting[count - 1]) >= strength(op)) {
            --count;
            if (const char* why = apply(waiting[count], values[count], values[count + 1])) return fail(start, why);
        }
        if (op == Operator::close) {
            value = values[0];
            return true;
        }
        waiting[count++] = op;
    }
}

bool BlockReader::unary(double& value) {
    enum class Function { abs, acos, asin, atan, cos, exp, fix, fup, ln, round, sin, sqrt, tan };
    static constexpr std::string_view kNames[] = {"abs", "acos", "asin",  "atan", "cos",  "exp", "fix",
                                                  "fup", "ln",   "round", "sin",  "sqrt", "tan"};
    const std::size_t start = at_;
    int which = 0;
    while (which < 13 && !take(kNames[which]))
        ++which;
    if (which == 13) return fail(start, fmt::format("unknown word starting with {}", here()));
    if (here() != '[') return fail(at_, fmt::format("\"[\" is missing after {}", kNames[which]));
    double x = 0;
    if (!expression(x)) return false;
    switch (static_cast<Function>(which)) {
    case Function::abs:
        value = std::abs(x);
        break;
    case Function::acos:
    case Function::asin:
        if (x < -1 || x > 1) return fail(start, fmt::format("{} of a number beyond 1", kNames[which]));
        value = (kNames[which] == "acos" ? std::acos(x) : std::asin(x)) / kDegree;
        break;
    case Function::atan: {
        if (!take("/")) return fail(at_, "\"/\" is missing after atan[...]");
        if (here() != '[') return fail(at_, "\"[\" is missing after atan[...]/");
        double y = 0;
        if (!expression(y)) return false;
        value = std::atan2(x, y) / kDegree;
        break;
    }
    case Function::cos:
        value = std::cos(x * kDegree);
        break;
    case Function::exp:
        value = std::exp(x);
        break;
    case Function::fix:
        value = std::floor(x);
        break;
    case Function::fup:
        value = std::ceil(x);
        break;
    case Function::ln:
        if (x <= 0) return fail(start, "ln of a number that is not above zero");
        value = std::log(x);
        break;
    case Function::round:
        value = std::round(x);
        break;
    case Function::sin:
        value = std::sin(x * kDegree);
        break;
    case Function::sqrt:
        if (x < 0) return fail(start, "sqrt of a negative number");
        value = std::sqrt(x);
        break;
    case Function::tan:
        value = std::tan(x * kDegree);
        break;
    }
    return std::isfinite(value) || fail(start, "a value that is too large");
}

} // namespace kerfwright::program
