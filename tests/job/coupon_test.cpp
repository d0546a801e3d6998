// Coupons of every kind are proven, and cut what their form says.

#include "job/coupon.hpp"
#include "job/make_plan.hpp"

#include <gtest/gtest.h>

namespace kerfwright::job {
namespace {

TEST(Coupon, EveryKindIsProvenInSeveralMaterials) {
    for (const auto& [material, cutter] :
         {std::pair{"walnut", "flat-3"}, {"acrylic", "single-flute-3"}, {"mdf", "flat-6"}}) {
        for (const CouponKind kind : {CouponKind::fit, CouponKind::feed, CouponKind::skin}) {
            CouponWish wish;
            wish.kind = kind;
            wish.material = material;
            wish.cutter = cutter;
            const auto coupon = make_coupon(wish);
            ASSERT_TRUE(coupon) << material << ": " << to_string(coupon.problem());
            const auto proof = prove_as_written(coupon.value().plan, {});
            ASSERT_TRUE(proof);
            for (const proof::SetupProof& setup : proof.value().setups)
                for (const proof::Finding& finding : setup.findings)
                    ADD_FAILURE() << to_string(kind) << " " << material << " " << finding.line << ": " << finding.text;
            EXPECT_EQ(coupon_form(wish, coupon.value()).pages.front().blocks.front().table.rows.size(),
                      coupon.value().parts.size());
        }
    }
}

TEST(Coupon, SocketsGrowByWhatTheFormSays) {
    CouponWish wish;
    wish.material = "walnut";
    wish.cutter = "flat-3";
    const auto coupon = make_coupon(wish);
    ASSERT_TRUE(coupon);
    const PlannedPiece& plate = coupon.value().plan.pieces[0];
    const PlannedPiece& plug = coupon.value().plan.pieces[1];
    const double side = plane::bounds(plug.outline).width();
    ASSERT_EQ(plate.outline.holes.size(), coupon.value().parts.size());
    for (std::size_t i = 0; i < plate.outline.holes.size(); ++i) {
        const plane::Polygon socket{plate.outline.holes[i], {}};
        EXPECT_NEAR(plane::bounds(socket).width(), side + 2 * coupon.value().parts[i].value, 0.003);
    }
}

TEST(Coupon, SaysWhatIsWrong) {
    CouponWish wish;
    wish.material = "cheese";
    wish.cutter = "flat-3";
    EXPECT_FALSE(make_coupon(wish));
    wish.material = "mdf";
    wish.cutter = "spoon";
    EXPECT_FALSE(make_coupon(wish));
    wish.cutter = "flat-3";
    wish.thickness = 45;
    const auto thick = make_coupon(wish);
    ASSERT_FALSE(thick);
    EXPECT_FALSE(thick.problem().remedy.empty());
}

} // namespace
} // namespace kerfwright::job
