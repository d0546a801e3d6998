#pragma once
// A setup as time goes, for a picture of it: the material at any moment, and the way of the cutter. Nothing is judged
// here. The material is that of the proof's own sweep on a coarse grid; loads along time are in SetupProof::loads, on
// the same clock.

#include "proof/proof.hpp"

#include <cstdint>
#include <memory>
#include <vector>

namespace kerfwright::proof {

/// The top of the material over a grid of points, row by row from the lowest Y.
struct Surface {
    double x0 = 0, y0 = 0; ///< program X and Y of point (0, 0), mm
    double cell = 0;       ///< mm between points
    int columns = 0, rows = 0;
    std::vector<float> z; ///< mm above the stock's underside; 0 where cut through or where there is no stock

    [[nodiscard]] float at(int column, int row) const {
        return z[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns) + static_cast<std::size_t>(column)];
    }
};

/// A place of the cutter's tip. The way from the point before is straight.
struct PathPoint {
    double t = 0;        ///< s from the setup's start
    double x = 0, y = 0; ///< program coordinates, mm
    double z = 0;        ///< mm above the stock's underside, as Surface::z (not program Z)
    int program = 0;     ///< index in SetupToProve::programs
    int line = 0;        ///< 1-based, of the move that ends or passes here
    bool rapid = false;  ///< of the way that ends here
};

/// The programs of a setup, read once; then any moment can be asked. A value: copies are cheap and share what was read.
class Replay {
  public:
    /// Faults of the text are not told here, proof.hpp does that; what could be read is replayed.
    explicit Replay(const SetupToProve& setup);

    /// s, all programs; as SetupProof::time.
    [[nodiscard]] double duration() const;
    /// s from the setup's start at which each program begins.
    [[nodiscard]] std::vector<double> program_starts() const;

    /// The material at time t, on a grid with `cells` points (2 to 1024) along the sheet's longer side. Heights at the
    /// points are exact, but a cutter narrower than a cell is taken as wide as one, so that no cut is lost. Within a
    /// move, time and way run together evenly. Cost: one pass over the moves until t.
    [[nodiscard]] Surface surface_at(double t, int cells = 256) const;

    /// The way until the end. Arcs are chords within 0.05 mm; where that would be more than `most` points (at least 2),
    /// points are left out that lie near the one before them.
    [[nodiscard]] std::vector<PathPoint> path(std::size_t most = 50'000) const;

  private:
    struct Inside;
    std::shared_ptr<const Inside> inside_;
};

} // namespace kerfwright::proof
