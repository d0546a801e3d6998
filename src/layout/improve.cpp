#include "layout/improve.hpp"

#include "layout/separate.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace kerfwright::layout {
namespace {

class Improvement {
  public:
    Improvement(const Group& group, const LayoutOptions& options, std::uint64_t seed, Attempt& attempt)
        : group_(group), options_(options), attempt_(attempt), random_(seed),
          insert_budget_(2 * budget_for(group.items.size())) {
        for (const shop::Sheet* sheet : group.sheets) {
            Ground ground = make_ground(*sheet, group.kerfs, options);
            for (const Group::Locked& locked : group.locked)
                if (locked.sheet == sheet) add_locked(ground, locked.item, of_item(locked.item, locked.placement));
            grounds_.emplace(sheet, std::move(ground));
        }
    }

    /// True when no part is without a place any more.
    [[nodiscard]] bool place_missing() {
        bool all = true;
        for (const std::size_t i : largest_first([](const Attempt::Place& place) { return place.sheet == nullptr; })) {
            const auto sheets = sheets_by_value(group_);
            all &=
                std::any_of(sheets.begin(), sheets.end(), [&](const shop::Sheet* sheet) { return insert(i, *sheet); });
        }
        return all;
    }

    /// Spreads the parts of the least filled bought sheet over the other sheets in use, while that works.
    void empty_sheets() {
        for (const shop::Sheet* sheet = least_filled(); sheet != nullptr; sheet = least_filled()) {
            const Attempt before = attempt_;
            if (spread(*sheet)) continue;
            attempt_ = before;
            return;
        }
    }

    void shorten() {
        for (const shop::Sheet* sheet : group_.sheets)
            shorten(*sheet);
    }

  private:
    /// The bought sheet that is easiest to do without; nullptr when all are well filled.
    [[nodiscard]] const shop::Sheet* least_filled() const {
        const shop::Sheet* found = nullptr;
        double least = 0.5;
        for (const shop::Sheet* sheet : group_.sheets) {
            if (sheet->offcut || has_locked(*sheet) || on(*sheet).empty()) continue;
            if (const double fill = filled(*sheet); fill < least) {
                least = fill;
                found = sheet;
            }
        }
        return found;
    }

    /// Moves all parts of the sheet to other sheets in use; false when one finds no room.
    [[nodiscard]] bool spread(const shop::Sheet& from) {
        for (const std::size_t i : largest_first([&](const Attempt::Place& place) { return place.sheet == &from; })) {
            const auto sheets = sheets_by_value(group_);
            const auto takes = [&](const shop::Sheet* sheet) {
                return sheet != &from && (!on(*sheet).empty() || has_locked(*sheet)) && insert(i, *sheet);
            };
            if (std::none_of(sheets.begin(), sheets.end(), takes)) return false;
        }
        return true;
    }

    template <class Which>
    [[nodiscard]] std::vector<std::size_t> largest_first(Which which) const {
        std::vector<std::size_t> found;
        for (std::size_t i = 0; i < group_.items.size(); ++i)
            if (which(attempt_.placed[i])) found.push_back(i);
        std::stable_sort(found.begin(), found.end(),
                         [&](std::size_t a, std::size_t b) { return group_.items[a].room > group_.items[b].room; });
        return found;
    }

    [[nodiscard]] std::vector<std::size_t> on(const shop::Sheet& sheet) const {
        std::vector<std::size_t> found;
        for (std::size_t i = 0; i < attempt_.placed.size(); ++i)
            if (attempt_.placed[i].sheet == &sheet) found.push_back(i);
        return found;
    }

    [[nodiscard]] bool has_locked(const shop::Sheet& sheet) const {
        return std::any_of(group_.locked.begin(), group_.locked.end(),
                           [&](const Group::Locked& l) { return l.sheet == &sheet; });
    }

    /// Share of the sheet that is room of parts.
    [[nodiscard]] double filled(const shop::Sheet& sheet) const {
        double room = 0;
        for (const std::size_t i : on(sheet))
            room += group_.items[i].room;
        for (const Group::Locked& locked : group_.locked)
            if (locked.sheet == &sheet) room += locked.item.room;
        return room / plane::area(sheet.outline);
    }

    [[nodiscard]] std::vector<Lying> lying_on(const std::vector<std::size_t>& which) const {
        std::vector<Lying> lying;
        for (const std::size_t i : which) {
            const Item& item = group_.items[i];
            lying.push_back({&item, of_item(item, attempt_.placed[i].placement)});
        }
        return lying;
    }

    void take_over(const std::vector<std::size_t>& which, const std::vector<Lying>& lying, const shop::Sheet& sheet) {
        for (std::size_t k = 0; k < which.size(); ++k)
            attempt_.placed[which[k]] = {&sheet, of_drawing(*lying[k].item, lying[k].placement)};
    }

    /// Placements that may be judged for a sheet with so many parts.
    [[nodiscard]] long budget_for(std::size_t parts) const {
        return std::lround(options_.effort * (20'000 + 13'000 * static_cast<double>(parts)));
    }

    /// Puts the part on the sheet, whose parts may move to make room.
    [[nodiscard]] bool insert(std::size_t i, const shop::Sheet& sheet) {
        constexpr double kFullest = 0.95;
        constexpr int kPatience = 60;
        const Item& item = group_.items[i];
        const Ground& ground = grounds_.at(&sheet);
        if (insert_budget_ <= 0 || !suits(*item.part, sheet)) return false;
        if (filled(sheet) + item.room / plane::area(sheet.outline) > kFullest) return false;
        const plane::Box& box = ground.layers[item.kerf_class].box;
        if (box.empty() || item.area > box.width() * box.height()) return false;
        std::vector<std::size_t> which = on(sheet);
        std::vector<Lying> lying = lying_on(which);
        which.push_back(i);
        const double angle = item.part->keep_grain ? grain_angles(*item.part, sheet).front() : 0;
        const plane::Vec middle = (box.low + box.high) * 0.5;
        lying.push_back({&item, of_item(item, of_drawing(item, {middle.x, middle.y, angle}))});
        const long allowed = std::min(insert_budget_, budget_for(which.size()) / 4);
        long budget = allowed;
        const bool found = separate(lying, ground, kPatience, budget, random_);
        insert_budget_ -= allowed - budget;
        if (!found) return false;
        take_over(which, lying, sheet);
        return true;
    }

    void shorten(const shop::Sheet& sheet) {
        constexpr double kFirstCut = 0.02; // of the used length
        constexpr double kLargestCut = 0.1;
        constexpr double kLastCut = 0.0025;
        constexpr int kPatience = 20;
        const std::vector<std::size_t> which = on(sheet);
        if (which.size() < 2) return;
        const plane::Box whole = plane::bounds(sheet.outline);
        const bool wide = whole.width() >= whole.height();
        std::vector<Lying> lying = lying_on(which);
        const auto end = [&] {
            double farthest = 0;
            for (const Lying& one : lying) {
                const plane::Box box = moved(one.item->body, one.placement).box;
                farthest = std::max(farthest, wide ? box.high.x : box.high.y);
            }
            return farthest;
        };
        long budget = budget_for(which.size());
        for (double cut = kFirstCut; cut >= kLastCut && budget > 0;) {
            Ground ground = grounds_.at(&sheet);
            const double limit = end() * (1 - cut);
            for (Ground::Layer& layer : ground.layers)
                (wide ? layer.box.high.x : layer.box.high.y) = limit;
            cut = separate(lying, ground, kPatience, budget, random_) ? std::min(2 * cut, kLargestCut) : cut / 2;
        }
        take_over(which, lying, sheet);
    }

    const Group& group_;
    const LayoutOptions& options_;
    Attempt& attempt_;
    Random random_;
    long insert_budget_;                           ///< placements that may still be judged for all inserts together
    std::map<const shop::Sheet*, Ground> grounds_; // looked up only
};

} // namespace

void improve(const Group& group, const LayoutOptions& options, std::uint64_t seed, Attempt& attempt) {
    if (options.effort <= 0) return;
    Improvement improvement(group, options, seed, attempt);
    if (improvement.place_missing()) {
        improvement.empty_sheets();
        improvement.shorten();
    }
    weigh(group, attempt);
}

} // namespace kerfwright::layout
