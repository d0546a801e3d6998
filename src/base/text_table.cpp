#include "base/text_table.hpp"

#include <algorithm>

namespace kerfwright {
namespace {

std::size_t width_of(const std::string& cell) {
    return static_cast<std::size_t>(
        std::count_if(cell.begin(), cell.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

bool is_number(const std::string& cell) {
    return !cell.empty() && cell.find_first_not_of("+-0123456789.,%e ") == std::string::npos;
}

} // namespace

std::string to_string(const TextTable& table) {
    std::vector<std::size_t> widths(table.head.size(), 0);
    for (std::size_t i = 0; i < table.head.size(); ++i)
        widths[i] = width_of(table.head[i]);
    for (const auto& row : table.rows)
        for (std::size_t i = 0; i < row.size() && i < widths.size(); ++i)
            widths[i] = std::max(widths[i], width_of(row[i]));

    std::string text;
    const auto put_row = [&](const std::vector<std::string>& row) {
        std::string line;
        for (std::size_t i = 0; i < widths.size(); ++i) {
            const std::string cell = i < row.size() ? row[i] : "";
            const std::string pad(widths[i] - width_of(cell), ' ');
            if (i > 0) line += "  ";
            line += is_number(cell) ? pad + cell : cell + pad;
        }
        line.erase(line.find_last_not_of(' ') + 1);
        text += line + '\n';
    };
    put_row(table.head);
    std::size_t total = widths.empty() ? 0 : 2 * (widths.size() - 1);
    for (const std::size_t width : widths)
        total += width;
    text += std::string(total, '-') + '\n';
    for (const auto& row : table.rows)
        put_row(row);
    return text;
}

} // namespace kerfwright
