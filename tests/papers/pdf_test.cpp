#include "papers/sample.hpp"
#include "papers/tools.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

namespace kerfwright::papers {
namespace {

class Pdf : public ::testing::Test {
  protected:
    static std::string made(const Paper& paper) {
        auto result = write_pdf(paper);
        EXPECT_TRUE(result.ok());
        return result.ok() ? result.value() : std::string();
    }
    Workplace place;
};

#define NEEDS(program)                                                                                                 \
    if (!has(program)) GTEST_SKIP() << program << " is not installed"

TEST_F(Pdf, SameBytesTwiceAndNoDate) {
    const std::string pdf = made(sample_paper());
    EXPECT_EQ(pdf, made(sample_paper()));
    EXPECT_EQ(pdf.substr(0, 8), "%PDF-1.5");
    EXPECT_EQ(pdf.find("CreationDate"), std::string::npos);
    EXPECT_EQ(pdf.find("ModDate"), std::string::npos);
}

TEST_F(Pdf, A4WithTitleAndPageNumbers) {
    NEEDS("pdfinfo");
    const std::string file = place.write("a.pdf", made(sample_paper()));
    const std::string info = output_of("pdfinfo " + file);
    EXPECT_NE(info.find("Skerry island tray"), std::string::npos) << info;
    EXPECT_NE(info.find("(A4)"), std::string::npos) << info;
    const int pages = std::atoi(info.c_str() + info.find("Pages:") + 6);
    EXPECT_GE(pages, 3);
    const std::string text = output_of("pdftotext -layout " + file + " -");
    for (int i = 1; i <= pages; ++i)
        EXPECT_EQ(count(text, "page " + std::to_string(i) + " of " + std::to_string(pages)), 1U);
}

TEST_F(Pdf, TextIsSearchable) {
    NEEDS("pdftotext");
    const std::string text = output_of("pdftotext -layout " + place.write("a.pdf", made(sample_paper())) + " -");
    // Labels in the drawing (with "ff" and "fi", which must not come out as ligatures), key, scale, facts, cells,
    // cautions.
    for (const char* word : {"tuff-1", "dolerite-1", "dyke-in-gneiss", "western-reef", "clamp 2", "scale 1:4", "X0 Y0",
                             "clearance to the tray", "0.60 mm", "02-walnut-a-flat-6.nc", "12 min 04 s",
                             "Walnut dust irritates skin", "–"})
        EXPECT_GE(count(text, word), 1U) << word;
}

TEST_F(Pdf, LongTablesGoOnWithTheirHead) {
    NEEDS("pdftotext");
    const std::string file = place.write("a.pdf", made(sample_paper()));
    const std::string text = output_of("pdftotext -layout " + file + " -");
    std::size_t with_rows = 0;
    std::string page;
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t to = std::min(text.find('\f', from), text.size());
        page = text.substr(from, to - from);
        const bool rows = page.find("skin 0.40, 4 tabs") != std::string::npos;
        with_rows += rows ? 1U : 0U;
        EXPECT_EQ(rows, page.find("held by") != std::string::npos);
        // A caution is never torn apart.
        EXPECT_EQ(page.find("Walnut dust") != std::string::npos,
                  page.find("come before this sheet") != std::string::npos);
        from = to + 1;
    }
    EXPECT_GE(with_rows, 2U);
    for (int i = 1; i <= 60; ++i)
        EXPECT_GE(count(text, "tuff-" + std::to_string(i) + " "), 1U) << i;
    EXPECT_GE(count(text, ", continued"), 1U);
}

TEST_F(Pdf, DrawingsAreTrueToScale) {
    NEEDS("pdftoppm");
    for (const auto& [width, scale] :
         std::initializer_list<std::pair<double, double>>{{100, 1}, {300, 0.5}, {610, 0.25}}) {
        Paper paper{"t", {{"t", "", {}, {}}}};
        paper.pages[0].drawing.frame = {box({-20, 7}, {width - 20, 57})};
        const Pixels page = pixels_of(place.write("b.pdf", made(paper)), 1);
        ASSERT_NEAR(page.width, 2100, 1);
        // The longest dark run below the header and above the footer is the frame's edge, 0.5 mm wide itself.
        int longest = 0;
        for (int y = 330; y < 2700; ++y)
            for (int x = 0, run = 0; x < page.width; ++x)
                longest = std::max(longest, run = page.grey(x, y) < 128 ? run + 1 : 0);
        EXPECT_NEAR(longest, 10 * width * scale + 5, 1.5) << width;
    }
}

TEST_F(Pdf, ADrawingGivesWayWhereThatSavesASide) {
    NEEDS("pdftotext");
    const auto text_of = [&](int rows) {
        Paper paper{"t", {{"t", "", {}, {}}}};
        paper.pages[0].drawing.frame = {box({0, 0}, {400, 280})};
        Table table{{"a", "b"}, {}};
        for (int i = 0; i < rows; ++i)
            table.rows.push_back({"x", "y"});
        paper.pages[0].blocks.push_back({"Table", {}, table, {}, false});
        return output_of("pdftotext -layout " + place.write("e.pdf", made(paper)) + " -");
    };
    const auto shows = [](const std::string& text, const std::string& what) {
        return text.find(what) != std::string::npos;
    };
    EXPECT_TRUE(shows(text_of(10), "scale 1:2.5") && shows(text_of(10), "page 1 of 1"));
    EXPECT_TRUE(shows(text_of(25), "scale 1:4") && shows(text_of(25), "page 1 of 1"));
    EXPECT_TRUE(shows(text_of(60), "scale 1:2.5") && shows(text_of(60), "page 1 of 2"));
}

TEST_F(Pdf, FactsStandBesideANarrowDrawing) {
    NEEDS("pdftotext");
    const auto words = [&](double width) {
        Paper paper{"t", {{"t", "", {}, {}}}};
        paper.pages[0].drawing.frame = {box({0, 0}, {width, 90})};
        paper.pages[0].blocks.push_back({"Facts", {{"pieces", "19"}, {"clearance", "0.30 mm"}}, {}, {}, false});
        return output_of("pdftotext -bbox " + place.write("f.pdf", made(paper)) + " -");
    };
    const auto left_of = [](const std::string& bbox, const std::string& word) {
        const std::size_t end = bbox.find(">" + word + "<");
        const std::size_t at = bbox.rfind("xMin=\"", end);
        return std::atof(bbox.c_str() + at + 6) * 25.4 / 72;
    };
    EXPECT_NEAR(left_of(words(160), "Facts"), 15, 0.5);
    EXPECT_NEAR(left_of(words(90), "Facts"), 15 + 90 + 12 + 8, 1);
}

TEST_F(Pdf, FillsDifferInBlackAndWhite) {
    NEEDS("pdftoppm");
    constexpr std::array kFills{Fill::none,       Fill::light, Fill::dots,   Fill::lines, Fill::cross,
                                Fill::back_lines, Fill::dark,  Fill::dashes, Fill::grid};
    std::vector<std::array<double, 5>> features;
    for (const Fill fill : kFills) {
        Paper paper{"t", {{"t", "", {}, {}}}};
        paper.pages[0].drawing.areas = {{{box({0, 0}, {100, 100})}, "", fill, false}};
        // A label or a fill makes it an area; this one is bare for `none` and white all the same.
        const Pixels page = pixels_of(place.write("c.pdf", made(paper)), 1);
        ASSERT_NEAR(page.width, 2100, 1);
        for (std::size_t i = 0; i + 2 < page.rgb.size(); i += 3)
            ASSERT_TRUE(page.rgb[i] == page.rgb[i + 1] && page.rgb[i] == page.rgb[i + 2]) << "colour";
        std::array<double, 5> f{};
        int n = 0;
        for (int y = 500; y < 1200; ++y) {
            for (int x = 400; x < 1100; ++x, ++n) {
                const int here = page.grey(x, y);
                f[0] += here;
                f[1] += std::abs(here - page.grey(x + 1, y));
                f[2] += std::abs(here - page.grey(x, y + 1));
                f[3] += std::abs(here - page.grey(x + 1, y + 1));
                f[4] += std::abs(here - page.grey(x + 1, y - 1));
            }
        }
        for (double& v : f)
            v /= n;
        features.push_back(f);
    }
    for (std::size_t a = 0; a < features.size(); ++a) {
        for (std::size_t b = 0; b < a; ++b) {
            double most = 0;
            for (std::size_t k = 0; k < 5; ++k)
                most = std::max(most, std::abs(features[a][k] - features[b][k]));
            EXPECT_GT(most, 4) << a << " and " << b;
        }
    }
}

TEST_F(Pdf, OddInputDoesNoHarm) {
    Paper paper{std::string(5000, 't') + "\xff\xfe", {{std::string(3000, 'W'), "\x01\xc3", {}, {}}, {}}};
    Page& page = paper.pages[0];
    page.drawing = sample_setup();
    page.drawing.marks.push_back({{NAN, 1}, "nowhere", DrawnMark::Kind::zero});
    page.drawing.marks.push_back({{1e300, 1}, "far", DrawnMark::Kind::measure});
    page.drawing.boxes.push_back({{{INFINITY, 0}, {1, 1}}, "no box"});
    page.drawing.boxes.push_back({{}, "empty"});
    page.drawing.areas.push_back({{}, "no shape", Fill::dots, false});
    page.drawing.areas.push_back({{{}}, "no ring", Fill::dots, false});
    page.drawing.areas.push_back({{box({5, 5}, {5, 9})}, "no area", Fill::dots, false});
    page.blocks.push_back({std::string(9000, 'h'),
                           {{std::string(9000, 'n'), std::string(90000, 'v')}, {"", ""}},
                           {{"a", "b"}, {{std::string(50000, 'c'), std::string(50000, 'd'), "more than the head"}, {}}},
                           {std::string(90000, 'l'), ""},
                           false});
    page.blocks.push_back({"", {}, {{"only a head"}, {}}, {}, true});
    Block cautions{"many", {}, {}, std::vector<std::string>(300, "mind this"), true};
    page.blocks.push_back(cautions);
    EXPECT_GT(made(paper).size(), 1000U);
    NEEDS("pdftotext");
    const std::string text = output_of("pdftotext -layout " + place.write("d.pdf", made(paper)) + " -");
    EXPECT_EQ(count(text, "mind this"), 300U);
}

TEST_F(Pdf, NoPagesAndFarTooManyAreProblems) {
    EXPECT_FALSE(write_pdf({}).ok());
    Paper paper{"t", {{"t", "", {}, {}}}};
    paper.pages[0].blocks.push_back({"", {}, {}, std::vector<std::string>(30000, "x"), false});
    EXPECT_FALSE(write_pdf(paper).ok());
}

} // namespace
} // namespace kerfwright::papers
