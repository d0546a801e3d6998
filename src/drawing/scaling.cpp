#include "drawing/scaling.hpp"

#include <fmt/format.h>

#include <cmath>

namespace kerfwright::drawing {

Result<Frame> finished_frame(const plane::Box& drawn, const std::string& file, const ReadOptions& options) {
    const auto problem = [&](std::string what, std::string remedy) {
        return Problem{file, 0, 0, std::move(what), std::move(remedy)};
    };
    const double asked = options.width > 0 ? options.width : options.scale;
    if (options.width < 0 || !(asked > 0) || !std::isfinite(asked))
        return problem(fmt::format("a width of {} mm and a scale of {} cannot be made", options.width, options.scale),
                       "give a width or a scale above 0");
    if (drawn.empty()) return problem("the drawing has no closed outline", "draw each region as a closed outline");
    if (!std::isfinite(drawn.width()) || !std::isfinite(drawn.height()))
        return problem("the drawing's size is not a finite number", "mend its coordinates");
    if (drawn.width() <= 0 || drawn.height() <= 0)
        return problem(
            fmt::format("the drawing measures {:g} × {:g} mm: it has no area", drawn.width(), drawn.height()),
            "draw each region as a closed outline");
    const double factor = options.width > 0 ? options.width / drawn.width() : options.scale;
    const double widest = std::max(drawn.width(), drawn.height()) * factor;
    if (!(widest <= plane::kRangeMm))
        return problem(fmt::format("the finished set would measure {:.6g} × {:.6g} mm; the largest is {:g} mm",
                                   drawn.width() * factor, drawn.height() * factor, plane::kRangeMm),
                       "give a smaller width or scale, or mend the units of the file");
    if (widest < 0.01)
        return problem(fmt::format("the finished set would measure {:.3g} × {:.3g} mm", drawn.width() * factor,
                                   drawn.height() * factor),
                       "give the finished width, or mend the units of the file");
    return Frame{drawn.low, factor};
}

} // namespace kerfwright::drawing
