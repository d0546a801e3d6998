// What `kerfwright plan examples/skerry/job.toml` promises, judged from its files alone. The files are written once by
// the test "whole.plan-skerry" (see CMakeLists.txt here), which runs first.

#include "support/geos.hpp"
#include "support/process.hpp"

#include "plane/boolean.hpp"
#include "plane/nearest.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <regex>
#include <set>

namespace kerfwright {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;
using support::text_of;

const fs::path kOut = fs::path(KERFWRIGHT_BINARY_DIR) / "skerry-out";

const Json& plan() {
    static const Json json = Json::parse(text_of(kOut / "plan.json"));
    return json;
}

plane::Ring ring_of(const Json& points) {
    plane::Ring ring;
    for (const Json& p : points)
        ring.push_back(plane::to_grid({p[0], p[1]}));
    return ring;
}

plane::Polygon polygon_of(const Json& rings) {
    plane::Polygon polygon{ring_of(rings[0]), {}};
    for (std::size_t i = 1; i < rings.size(); ++i)
        polygon.holes.push_back(ring_of(rings[i]));
    return polygon;
}

plane::Placement placement_of(const Json& json) {
    return {json["x"], json["y"], json["angle_deg"]};
}

const Json& named(const Json& list, const char* key, const std::string& name) {
    for (const Json& item : list)
        if (item[key] == name) return item;
    throw std::runtime_error("no " + name);
}

TEST(Skerry, IsProvenFromText) {
    const Json proof = Json::parse(text_of(kOut / "proof.json"));
    EXPECT_EQ(proof["schema"], "kerfwright.proof/1");
    EXPECT_EQ(proof["verdict"], "proven") << proof["findings"].dump(1);
    EXPECT_EQ(proof["parts"].size(), plan()["pieces"].size() + 1) << "every piece, and the tray's wall";
    for (const Json& part : proof["parts"]) {
        EXPECT_GT(part["deviation_min"].get<double>(), -0.03) << part;
        EXPECT_LT(part["deviation_max"].get<double>(), 0.03) << part;
    }
}

TEST(Skerry, TheSetGoesTogetherAsPlannedAndAsTheProgramsLeaveIt) {
    const Json& planned = plan()["assembly"];
    EXPECT_TRUE(planned["goes_together"].get<bool>());
    for (const Json& chance :
         {Json{planned["chance_low"], planned["chance"], planned["chance_high"]},
          Json{planned["customer"]["low"], planned["customer"]["chance"], planned["customer"]["high"]}}) {
        EXPECT_LT(chance[0], chance[1]);
        EXPECT_LE(chance[1], chance[2]);
        EXPECT_LE(chance[2], 1.0);
        EXPECT_GT(chance[1], 0.5);
    }
    const Json cut = Json::parse(text_of(kOut / "proof.json"))["assembly"];
    EXPECT_NEAR(cut["slack"].get<double>(), planned["slack"].get<double>(), 0.02);
    EXPECT_TRUE(cut["goes_together"].get<bool>());
}

TEST(Skerry, HasWhatTheExamplePromises) {
    EXPECT_EQ(plan()["schema"], "kerfwright.plan/1");
    std::set<std::string> regions, materials;
    for (const Json& piece : plan()["pieces"]) {
        regions.insert(piece["region"]);
        materials.insert(piece["material"]);
    }
    EXPECT_GE(regions.size(), 18u);
    EXPECT_GT(plan()["pieces"].size(), regions.size()) << "one unit is in two parts";
    EXPECT_EQ(materials.size(), 7u);
}

TEST(Skerry, EveryPieceLiesOnASheetOfItsMaterialAndInsideIt) {
    for (const Json& piece : plan()["pieces"]) {
        const Json& setup = named(plan()["setups"], "name", piece["setup"]);
        const Json& sheet = setup["shelf"];
        EXPECT_EQ(sheet["material"], piece["material"]);
        const plane::Polygon stock = polygon_of(sheet["outline"]);
        const plane::Polygon placed = plane::placed(polygon_of(piece["outline"]), placement_of(piece["placement"]));
        for (const plane::Point p : placed.outer)
            ASSERT_EQ(plane::side_of(stock, p), plane::Side::inside) << piece["id"];
    }
}

/// Mean thickness of a sheet under a placed piece, from its measured points as plan.json has them (Shepard's
/// interpolation), on a grid of half a millimetre.
double thickness_under(const Json& piece) {
    const Json& shelf = named(plan()["setups"], "name", piece["setup"])["shelf"];
    if (shelf["measured"].empty()) return shelf["thickness"];
    const plane::Polygon placed = plane::placed(polygon_of(piece["outline"]), placement_of(piece["placement"]));
    const plane::Box box = plane::bounds(placed);
    double sum = 0;
    int count = 0;
    for (double x = box.low.x; x < box.high.x; x += 0.5)
        for (double y = box.low.y; y < box.high.y; y += 0.5) {
            if (plane::side_of(placed, plane::to_grid({x, y})) != plane::Side::inside) continue;
            double weights = 0, weighted = 0;
            for (const Json& point : shelf["measured"]) {
                const double dx = point[0].get<double>() - x, dy = point[1].get<double>() - y;
                const double weight = 1 / std::max(1e-9, dx * dx + dy * dy);
                weights += weight;
                weighted += weight * point[2].get<double>();
            }
            sum += weighted / weights;
            ++count;
        }
    return sum / count;
}

TEST(Skerry, TopsAreLevelWithinTheMachinesStep) {
    constexpr double kStep = 0.01; // mm, of the machine "gantry-600"
    std::set<std::string> seen;
    double least = 1e9, most = -1e9;
    for (const Json& floor : plan()["tray"]["floors"])
        for (const Json& support : floor["support"]) {
            seen.insert(support["piece"]);
            EXPECT_GE(support["share"].get<double>(), 0.9) << support;
            const double thickness = thickness_under(named(plan()["pieces"], "id", support["piece"]));
            EXPECT_NEAR(support["thickness"].get<double>(), thickness, 0.002) << support;
            // The tray's own sheet is not measured: its rim lies at the Z zero.
            const double top = thickness - floor["depth"].get<double>();
            EXPECT_NEAR(top, support["top"].get<double>(), 0.002) << support;
            least = std::min(least, top), most = std::max(most, top);
        }
    EXPECT_EQ(seen.size(), plan()["pieces"].size());
    EXPECT_GT(plan()["tray"]["floors"].size(), 7u) << "at least one for each of the seven materials";
    EXPECT_LE(most - least, kStep + 1e-9);
}

#ifdef KERFWRIGHT_HAS_GEOS

TEST(Skerry, PiecesOnASheetKeepTheCuttersSpacing) {
    const oracle::Geos geos;
    const Json& pieces = plan()["pieces"];
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        const double DC = named(plan()["cutters"], "name", pieces[i]["cutter"])["DC"];
        const auto a =
            geos.polygon(plane::placed(polygon_of(pieces[i]["outline"]), placement_of(pieces[i]["placement"])));
        for (std::size_t j = i + 1; j < pieces.size(); ++j) {
            if (pieces[i]["setup"] != pieces[j]["setup"]) continue;
            const auto b =
                geos.polygon(plane::placed(polygon_of(pieces[j]["outline"]), placement_of(pieces[j]["placement"])));
            EXPECT_GE(geos.distance(a, b), DC) << pieces[i]["id"] << " and " << pieces[j]["id"];
        }
        const Json& shelf = named(plan()["setups"], "name", pieces[i]["setup"])["shelf"];
        for (const Json& clamp : shelf["clamps"]) {
            const plane::Vec low{clamp["at"][0], clamp["at"][1]};
            const plane::Vec size{clamp["size"][0], clamp["size"][1]};
            EXPECT_GE(geos.distance(a, geos.polygon({plane::rectangle(low, low + size), {}})), DC) << pieces[i]["id"];
        }
    }
}

TEST(Skerry, AsCutPiecesOverlapNowhereAndLieInTheTray) {
    const oracle::Geos geos;
    const Json& pieces = plan()["pieces"];
    std::vector<oracle::Geos::Geometry> cut;
    for (const Json& piece : pieces)
        cut.push_back(geos.polygon(polygon_of(piece["as_cut"])));
    for (std::size_t i = 0; i < cut.size(); ++i)
        for (std::size_t j = i + 1; j < cut.size(); ++j)
            EXPECT_EQ(geos.overlap_area(cut[i], cut[j]), 0) << pieces[i]["id"] << " and " << pieces[j]["id"];
    plane::Shape wall;
    std::vector<plane::Ring> rings;
    for (const Json& ring : plan()["tray"]["wall_as_cut"])
        rings.push_back(ring_of(ring));
    wall = plane::normal(rings, plane::FillRule::even_odd);
    const auto tray = geos.shape(wall);
    for (std::size_t i = 0; i < cut.size(); ++i)
        EXPECT_LT(geos.difference_area(cut[i], tray), 1e-9) << pieces[i]["id"];
}

plane::Shape shape_of(const Json& rings) {
    std::vector<plane::Ring> all;
    for (const Json& ring : rings)
        all.push_back(ring_of(ring));
    return plane::normal(all, plane::FillRule::even_odd);
}

TEST(Skerry, EveryPieceGoesDownToItsFloorAndRestsOnIt) {
    const oracle::Geos geos;
    const Json& floors = plan()["tray"]["floors"];
    std::vector<oracle::Geos::Geometry> areas;
    for (const Json& floor : floors)
        areas.push_back(geos.shape(shape_of(floor["rings"])));
    double sum = 0;
    for (std::size_t i = 0; i < floors.size(); ++i) {
        sum += geos.area(areas[i]);
        for (std::size_t j = 0; j < i; ++j)
            EXPECT_LT(geos.overlap_area(areas[i], areas[j]), 1e-4);
        for (const Json& support : floors[i]["support"]) {
            const auto piece = geos.polygon(polygon_of(named(plan()["pieces"], "id", support["piece"])["as_cut"]));
            const double area = geos.area(piece);
            EXPECT_GE(geos.overlap_area(piece, areas[i]) / area, 0.9) << support;
            EXPECT_NEAR(geos.overlap_area(piece, areas[i]) / area, support["share"].get<double>(), 1e-4) << support;
            for (std::size_t j = 0; j < i; ++j) // the shallower ones
                EXPECT_LT(geos.overlap_area(piece, areas[j]), 1e-4) << support << " stands on a step";
        }
    }
    EXPECT_NEAR(sum, geos.area(geos.shape(shape_of(plan()["tray"]["wall"]))), 0.2) << "the floors are the recess";
}

TEST(Skerry, GapsBetweenAsCutPiecesAreWhatTheSeamTableSays) {
    const oracle::Geos geos;
    for (const Json& seam : plan()["seams"]) {
        EXPECT_NEAR(seam["gap_min"].get<double>(), seam["asked"].get<double>(), 0.02) << seam;
        EXPECT_NEAR(seam["gap_mean"].get<double>(), seam["asked"].get<double>(), 0.02) << seam;
        EXPECT_NEAR(seam["gap_max"].get<double>(), seam["asked"].get<double>(), 0.02) << seam;
        if (seam["b"] == "tray") continue;
        const auto a = geos.polygon(polygon_of(named(plan()["pieces"], "id", seam["a"])["as_cut"]));
        const auto b = geos.polygon(polygon_of(named(plan()["pieces"], "id", seam["b"])["as_cut"]));
        EXPECT_NEAR(geos.distance(a, b), seam["gap_min"].get<double>(), 0.005) << seam;
    }
}

#endif

TEST(Skerry, SeamsAreDrawnWithTheirLegendAndNames) {
    const std::string svg = text_of(kOut / "pictures/seams.svg");
    for (const Json& piece : plan()["pieces"])
        EXPECT_NE(svg.find(piece["id"].get<std::string>() + "<"), std::string::npos) << piece["id"];
    EXPECT_NE(svg.find("as asked, within 0.005 mm"), std::string::npos);
    EXPECT_NE(svg.find("narrower by more than 0.100 mm"), std::string::npos);
    // Seven classes, seven colours, of which the three narrow ones are dashed.
    std::set<std::string> colours, dashed;
    const std::regex stroke("stroke=\"(#[0-9a-f]{6})\"[^>]*>");
    for (std::sregex_iterator it(svg.begin(), svg.end(), stroke), end; it != end; ++it) {
        const std::string colour = (*it)[1];
        if (colour.substr(1, 2) == colour.substr(3, 2)) continue; // grey
        colours.insert(colour);
        if (it->str().find("dasharray") != std::string::npos) dashed.insert(colour);
    }
    EXPECT_EQ(colours.size(), 6u) << "and the grey in the middle";
    EXPECT_EQ(dashed.size(), 3u);
}

TEST(Skerry, GrainIsKept) {
    for (const Json& piece : plan()["pieces"]) {
        if (piece["material"] != "walnut" && piece["material"] != "maple") continue;
        const double turn = std::fmod(std::abs(piece["placement"]["angle_deg"].get<double>()), 180);
        EXPECT_NEAR(std::min(turn, 180 - turn), 0, 1e-9) << piece["id"];
    }
}

TEST(Skerry, ProvingTheFolderAgainGivesTheSame) {
    const auto again = support::kerfwright("prove " + kOut.string() + " --json --quiet");
    EXPECT_EQ(again.status, 0) << again.err;
    EXPECT_EQ(Json::parse(again.out), Json::parse(text_of(kOut / "proof.json")));
}

TEST(Skerry, TwiceAndOnOneThreadGivesTheSameBytes) {
    const support::TempFolder temp;
    const auto again =
        support::kerfwright("plan " KERFWRIGHT_SOURCE_DIR "/examples/skerry/job.toml --quiet --threads 1 --out " +
                            (temp.path() / "out").string());
    ASSERT_EQ(again.status, 0) << again.err << again.out;
    int files = 0;
    for (const auto& entry : fs::recursive_directory_iterator(kOut)) {
        if (!entry.is_regular_file()) continue;
        ++files;
        EXPECT_TRUE(text_of(entry.path()) == text_of(temp.path() / "out" / fs::relative(entry.path(), kOut)))
            << entry.path();
    }
    EXPECT_GT(files, 12);
}

} // namespace
} // namespace kerfwright
