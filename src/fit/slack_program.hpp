#pragma once
// Private to fit/: the linear program of the assembly, in its dual form.
//
// Primal: largest t with gap_k + a_k . d >= t for every contact k and |d| <= bound, d being the pieces' shifts and
// turns. Dual: contact forces y >= 0 that sum to 1 and are in equilibrium, with the smallest gap . y. Its basis has
// three rows a piece, and new gaps are only new costs. Equilibrium is asked for within kPrice, which puts that price on
// every motion: of many best poses, one that moves little is found.

#include "fit/contacts.hpp"

#include <memory>
#include <vector>

namespace kerfwright::fit {

struct SlackFound {
    double slack = 0;          ///< smallest linear gap over all contacts at the poses found, mm
    std::vector<Lie> lies;     ///< poses to add, one a solid (growth unused); the wall stays
    std::vector<double> force; ///< for each seam, its share of the contact force
    bool solved = false;
};

class SlackProgram {
  public:
    struct Bounds {
        double shift = 2;     ///< mm
        double turn = 0.0175; ///< radians
    };
    SlackProgram(const std::vector<Solid>& solids, const std::vector<Lie>& lies, const ContactSet& set, Bounds bounds);
    ~SlackProgram();
    SlackProgram(const SlackProgram&) = delete;
    SlackProgram& operator=(const SlackProgram&) = delete;

    /// Solves for these gaps, one for each contact of the set; starts from where it stopped the last time.
    [[nodiscard]] SlackFound solve(const std::vector<double>& gaps);

  private:
    struct State;
    std::unique_ptr<State> state_;
};

} // namespace kerfwright::fit
