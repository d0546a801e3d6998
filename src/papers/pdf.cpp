// Pages of A4 from blocks: the drawing first, then the blocks in order, continued on further pages where they must.

#include "papers/typeset.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <utility>

namespace kerfwright::papers {
namespace {

constexpr double kWidth = 210;
constexpr double kHeight = 297;
constexpr double kMargin = 15;
constexpr double kTextWidth = kWidth - 2 * kMargin;
constexpr double kTop = 33;                                   // below the header
constexpr double kBottom = kHeight - 22;                      // above the footer
constexpr double kDrawingHeights[] = {138, 120, 104, 88, 74}; // of a drawing above text, the first wanted most
constexpr std::size_t kLongestTitle = 300;                    // bytes
constexpr std::size_t kLongestCaption = 1000;                 // bytes
constexpr std::size_t kMostPages = 400;

constexpr Type kTitle{15, true, 0};
constexpr Type kSubtitle{9, false, 0.25};
constexpr Type kSmall{7.5, false, 0.25};

struct Placed {
    Row row;
    double y;
};
/// What goes on one side of paper.
struct Side {
    const Page* page = nullptr;
    bool continued = false;
    std::vector<Placed> rows;
};

/// Facts that stand beside a narrow drawing: the rows, and where they begin.
struct Beside {
    std::vector<Row> rows;
    double x = 0;
};

/// The first block's facts, when there is nothing else in it and they find room beside the picture.
Beside beside(const Canvas& canvas, const Page& page, const Picture& picture) {
    constexpr double kGutter = 8;
    constexpr double kLeastWidth = 52;
    const double x = picture.width + kGutter;
    if (page.blocks.empty() || kTextWidth - x < kLeastWidth) return {};
    const Block& block = page.blocks.front();
    if (block.facts.empty() || !block.table.rows.empty() || !block.lines.empty() || block.caution) return {};
    Rows rows;
    add_facts_column(rows, canvas, block, kTextWidth - x);
    double height = 0;
    for (const Row& row : rows.rows)
        height += row.height;
    if (height > picture.height) return {};
    return {std::move(rows.rows), x};
}

Row picture_row(Picture picture, Beside facts) {
    const double height = picture.height;
    return {height, true, [picture = std::move(picture), facts = std::move(facts)](Canvas& on, double x, double y) {
                on.picture(picture, x, y);
                for (const Row& row : facts.rows) {
                    row.draw(on, x + facts.x, y + 3);
                    y += row.height;
                }
            }};
}

/// The drawing, its caption, and the key to its numbers; also the first block, where that goes beside it.
struct DrawingDone {
    double scale = 0;
    bool first_block = false;
};
DrawingDone add_drawing(Rows& rows, const Canvas& canvas, const Page& page, double most_height) {
    const Drawn& drawing = page.drawing;
    if (drawing.frame.empty() && drawing.areas.empty() && drawing.boxes.empty() && drawing.marks.empty()) return {};
    const Picture picture = compose(drawing, kTextWidth, most_height);
    Beside facts = beside(canvas, page, picture);
    const DrawingDone done{picture.scale, !facts.rows.empty()};
    rows.rows.push_back(picture_row(picture, std::move(facts)));
    const auto line = [&](const std::string& text) {
        rows.rows.push_back({canvas.measure(text, kSmall, kTextWidth).height + 0.8, false,
                             [=](Canvas& on, double x, double y) { on.text(x, y, text, kSmall, kTextWidth); }});
    };
    if (!drawing.caption.empty()) line(shortened(drawing.caption, kLongestCaption));
    std::string entries;
    for (const std::string& entry : picture.key) {
        const std::string more = entries.empty() ? entry : entries + "    " + entry;
        if (!entries.empty() && canvas.measure(more, kSmall).width > kTextWidth)
            line(std::exchange(entries, entry));
        else
            entries = more;
    }
    if (!entries.empty()) line(entries);
    return done;
}

/// Fills sides with rows: a row that does not fit goes to the next side, with all that must stay with it.
void fill_sides(std::vector<Side>& sides, const Page& page, const Rows& rows) {
    sides.push_back({&page, false, {}});
    double y = kTop;
    const auto next_side = [&](int head) {
        sides.push_back({&page, true, {}});
        y = kTop;
        if (head < 0) return;
        const Row& repeated = rows.heads[static_cast<std::size_t>(head)];
        sides.back().rows.push_back({repeated, y});
        y += repeated.height;
    };
    for (std::size_t i = 0; i < rows.rows.size();) {
        // A run of rows that stay together.
        std::size_t end = i + 1;
        double height = rows.rows[i].height;
        while (end < rows.rows.size() && rows.rows[end - 1].stay_with_next)
            height += rows.rows[end++].height;
        const bool fresh = sides.back().rows.empty();
        if (y + height > kBottom && !fresh) {
            if (!rows.rows[i].draw) { // a space at the end of a side
                ++i;
                if (i < rows.rows.size()) next_side(rows.rows[i].head);
                continue;
            }
            next_side(rows.rows[i].head);
        }
        for (; i < end; ++i) {
            if (y + rows.rows[i].height > kBottom && y > kTop) next_side(rows.rows[i].head);
            if (y > kTop || rows.rows[i].draw) {
                sides.back().rows.push_back({rows.rows[i], y});
                y += rows.rows[i].height;
            }
        }
        if (sides.size() > kMostPages) return;
    }
}

/// The page with the largest drawing, or with one a little smaller where that saves a side.
std::vector<Side> sides_of(const Page& page, const Canvas& canvas) {
    constexpr double kSmallest = 0.6; // of the largest scale
    std::vector<double> heights(std::begin(kDrawingHeights), std::end(kDrawingHeights));
    if (page.blocks.empty()) heights = {kBottom - kTop - 12};
    std::vector<Side> best;
    double largest = 0;
    for (const double height : heights) {
        Rows rows;
        const DrawingDone drawing = add_drawing(rows, canvas, page, height);
        largest = std::max(largest, drawing.scale);
        if (drawing.scale < kSmallest * largest) break;
        for (std::size_t b = drawing.first_block ? 1 : 0; b < page.blocks.size(); ++b)
            add_block(rows, canvas, page.blocks[b], kTextWidth);
        std::vector<Side> sides;
        fill_sides(sides, page, rows);
        if (best.empty() || sides.size() < best.size()) best = std::move(sides);
        if (best.size() == 1 || best.size() > kMostPages) break;
    }
    return best;
}

void draw_header(Canvas& canvas, const Side& side) {
    canvas.text(kMargin, kMargin - 1, canvas.cut_to(shortened(side.page->title, kLongestTitle), kTitle, kTextWidth),
                kTitle);
    const char* continued = !side.continued ? "" : side.page->subtitle.empty() ? "continued" : ", continued";
    const double room = kTextWidth - canvas.measure(continued, kSubtitle).width;
    canvas.text(kMargin, kMargin + 6.4,
                canvas.cut_to(shortened(side.page->subtitle, kLongestTitle), kSubtitle, room) + continued, kSubtitle);
    canvas.line(kMargin, kTop - 5.5, kWidth - kMargin, kTop - 5.5, 0.5);
}

void draw_footer(Canvas& canvas, const std::string& title, std::size_t page, std::size_t pages) {
    const double y = kHeight - kMargin - 3;
    canvas.line(kMargin, y - 1.5, kWidth - kMargin, y - 1.5, 0.15);
    canvas.text(kMargin, y, canvas.cut_to(title, kSmall, kTextWidth - 30), kSmall);
    canvas.text(kMargin, y, fmt::format("page {} of {}", page, pages), kSmall, kTextWidth, Canvas::Align::right);
}

} // namespace

Result<std::string> write_pdf(const Paper& paper) {
    if (paper.pages.empty()) return Problem{{}, 0, 0, "there is nothing to put on paper", "give the paper a page"};
    std::string bytes;
    const std::string title = shortened(paper.title, kLongestTitle);
    Canvas canvas(kWidth, kHeight, title, bytes);
    std::vector<Side> sides;
    for (const Page& page : paper.pages) {
        std::vector<Side> more = sides_of(page, canvas);
        sides.insert(sides.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
        if (sides.size() > kMostPages)
            return Problem{
                {}, 0, 0, fmt::format("the papers would have more than {} pages", kMostPages), "split the job"};
    }
    for (std::size_t i = 0; i < sides.size(); ++i) {
        draw_header(canvas, sides[i]);
        for (const Placed& placed : sides[i].rows)
            if (placed.row.draw) placed.row.draw(canvas, kMargin, placed.y);
        draw_footer(canvas, title, i + 1, sides.size());
        canvas.next_page();
    }
    if (!canvas.finish())
        return Problem{{}, 0, 0, "the PDF could not be made", "check the memory that is free, and report it"};
    return bytes;
}

} // namespace kerfwright::papers
