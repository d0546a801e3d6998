#pragma once
// Small test cuts that measure what no table knows: the clearance that fits, the feed that cuts well, the skin that
// holds and parts.

#include "job/job_file.hpp"
#include "job/make_plan.hpp"
#include "papers/papers.hpp"

namespace kerfwright::job {

enum class CouponKind {
    fit,  ///< one plug and a plate with sockets, each with more room around the plug than the one before
    feed, ///< squares, each cut at another share of the planned feed
    skin  ///< discs, each left on a thicker skin
};
[[nodiscard]] const char* to_string(CouponKind kind);

struct CouponWish {
    CouponKind kind = CouponKind::fit;
    std::string material, cutter, machine = "gantry-600";
    double thickness = 6;          ///< mm, as measured
    std::vector<std::string> hold; ///< as in the job file; empty: tape, and a skin for `skin`
};

/// One part of a coupon and what it tries.
struct CouponPart {
    std::string id;
    double value = 0; ///< fit: mm of gap per side; feed: mm/min; skin: mm
};
struct Coupon {
    Job job;
    Plan plan;
    std::vector<CouponPart> parts;
};

/// Fails like a plan does: unknown names, a cutter that cannot cut through.
[[nodiscard]] Result<Coupon> make_coupon(const CouponWish& wish);

/// The page to fill in at the machine.
[[nodiscard]] papers::Paper coupon_form(const CouponWish& wish, const Coupon& coupon);

} // namespace kerfwright::job
