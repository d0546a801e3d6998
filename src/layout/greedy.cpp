#include "layout/greedy.hpp"

#include "base/random.hpp"
#include "plane/shape.hpp"

#include <algorithm>
#include <numeric>
#include <tuple>

namespace kerfwright::layout {
namespace {

double area_of(const shop::Sheet& sheet) {
    return plane::area(sheet.outline);
}

/// Large and long parts first; the later turns weigh that with luck.
std::vector<std::size_t> order_of(const Group& group, Random& random, int turn) {
    std::vector<std::pair<double, std::size_t>> keys;
    for (std::size_t i = 0; i < group.items.size(); ++i) {
        const Item& item = group.items[i];
        const plane::Box box = item.body.box;
        const double size = turn % 3 == 1 ? box.width() * box.height() : item.room;
        const double luck = turn < 2 ? 1 : random.uniform(0.5, 1.5);
        keys.emplace_back(-size * luck, i);
    }
    std::sort(keys.begin(), keys.end());
    std::vector<std::size_t> order;
    for (const auto& [key, i] : keys)
        order.push_back(i);
    return order;
}

/// Odd turns take the large bought sheets first, which may need fewer of them.
std::vector<const shop::Sheet*> sheet_order(const Group& group, int turn) {
    std::vector<const shop::Sheet*> sheets = sheets_by_value(group);
    const auto bought =
        std::find_if(sheets.begin(), sheets.end(), [](const shop::Sheet* sheet) { return !sheet->offcut; });
    if (turn % 2 == 1) std::reverse(bought, sheets.end());
    return sheets;
}

/// Parts go to the low end of the sheet's longer side, with more or less heed to the shorter one.
Pull pull_for(const shop::Sheet& sheet, int turn) {
    constexpr double kHeed[] = {0.01, 0.2, 0.5};
    const plane::Box box = plane::bounds(sheet.outline);
    const double heed = kHeed[turn % 3];
    return box.width() >= box.height() ? Pull{1, heed} : Pull{heed, 1};
}

/// What is no longer free for other work: from the low end of the longer side to the end of the farthest part.
double used_area(const shop::Sheet& sheet, const plane::Box& used) {
    const plane::Box box = plane::bounds(sheet.outline);
    const bool wide = box.width() >= box.height();
    return wide ? (used.high.x - box.low.x) * box.height() : (used.high.y - box.low.y) * box.width();
}

} // namespace

std::vector<const shop::Sheet*> sheets_by_value(const Group& group) {
    std::vector<const shop::Sheet*> sheets = group.sheets;
    const auto key = [](const shop::Sheet* sheet) { return std::tuple(!sheet->offcut, area_of(*sheet), sheet->name); };
    std::sort(sheets.begin(), sheets.end(), [&](const auto* a, const auto* b) { return key(a) < key(b); });
    return sheets;
}

bool better(const Attempt& a, const Attempt& b) {
    const auto key = [](const Attempt& t) {
        return std::tuple(t.missing, t.opened, t.opened_area, t.sheets, t.used_area);
    };
    return key(a) < key(b);
}

Attempt attempt(const Group& group, const LayoutOptions& options, int turn) {
    Random random(options.seed * 1000003 + static_cast<std::uint64_t>(turn));
    Attempt result;
    result.placed.resize(group.items.size());

    std::vector<Board> boards;
    for (const shop::Sheet* sheet : sheet_order(group, turn)) {
        boards.emplace_back(*sheet, group.kerfs, options);
        for (const Group::Locked& locked : group.locked)
            if (locked.sheet == sheet) boards.back().put(locked.item, of_item(locked.item, locked.placement));
    }
    for (const std::size_t i : order_of(group, random, turn)) {
        const Item& item = group.items[i];
        for (Board& board : boards) {
            if (!suits(*item.part, board.sheet())) continue;
            const auto place = board.find(item, pull_for(board.sheet(), turn));
            if (!place) continue;
            board.put(item, *place);
            result.placed[i] = {&board.sheet(), of_drawing(item, *place)};
            break;
        }
    }
    weigh(group, result);
    return result;
}

void weigh(const Group& group, Attempt& attempt) {
    attempt.missing = attempt.opened_area = attempt.used_area = 0;
    attempt.opened = attempt.sheets = 0;
    const auto box_of = [](const Item& item, const plane::Placement& placement) {
        return moved(item.body, of_item(item, placement)).box;
    };
    for (const shop::Sheet* sheet : group.sheets) {
        plane::Box used;
        for (std::size_t i = 0; i < group.items.size(); ++i)
            if (attempt.placed[i].sheet == sheet)
                plane::extend(used, box_of(group.items[i], attempt.placed[i].placement));
        for (const Group::Locked& locked : group.locked)
            if (locked.sheet == sheet) plane::extend(used, box_of(locked.item, locked.placement));
        if (used.empty()) continue;
        ++attempt.sheets;
        if (!sheet->offcut) {
            ++attempt.opened;
            attempt.opened_area += area_of(*sheet);
        }
        attempt.used_area += used_area(*sheet, used);
    }
    for (std::size_t i = 0; i < group.items.size(); ++i)
        if (attempt.placed[i].sheet == nullptr) attempt.missing += group.items[i].room;
}

} // namespace kerfwright::layout
