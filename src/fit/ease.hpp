#pragma once
// Private to fit/: easing, by skeletons (docs/fit.md, "The algorithm").

#include "fit/bodies.hpp"

namespace kerfwright::fit {

/// A part that was cut off from its body by easing and went to the neighbour with the longest contact.
struct HandOver {
    std::size_t from = 0, to = 0;
    plane::Polygon part;
};

/// Two bodies both need this place and neither can have it: it stays empty.
struct Void {
    std::size_t claimant = 0, other = 0;
    plane::Box box;
};

struct Eased {
    std::vector<plane::Shape> shapes; ///< E_i, one for each body; disjoint to within kNoise; empty: the body is lost
    std::vector<HandOver> hand_overs;
    std::vector<Void> voids;
    int sweeps = 0;
    bool at_rest = false; ///< no two closings overlap any more
};

/// The parts of the drawn body that easing took from it, those thicker than noise.
[[nodiscard]] plane::Shape lost_parts(const Bodies& bodies, const Eased& eased, std::size_t body);

[[nodiscard]] Eased ease(const Bodies& bodies, int threads);

} // namespace kerfwright::fit
