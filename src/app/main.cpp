// The command line: options to arguments, nothing else.

#include "app/commands.hpp"
#include "base/quantity.hpp"

#include <CLI/CLI.hpp>

#include <cstdio>
#include <exception>

namespace {

using namespace kerfwright::app;

/// Reads "1500", "30 in/min", "18000 rpm": numbers with units, like the job file.
CLI::Validator in_unit(kerfwright::Dimension dimension) {
    return {[dimension](std::string& text) -> std::string {
                const auto value = kerfwright::parse_quantity(text, dimension);
                if (!value) return kerfwright::to_string(value.problem());
                char digits[64];
                std::snprintf(digits, sizeof digits, "%.17g", value.value());
                text = digits;
                return {};
            },
            "QUANTITY", "unit"};
}

void add_feeds(CLI::App& root, FeedsArguments& a) {
    CLI::App* feeds =
        root.add_subcommand("feeds", "The feed plan for a material and a cutter, or a judgement of given settings");
    feeds->add_option("--material", a.material, "material, such as mdf, or a TOML file")->required();
    feeds->add_option("--cutter", a.cutter, "cutter, such as flat-6, or a TOML file")->required();
    feeds->add_option("--machine", a.machine, "machine, or a TOML file")->capture_default_str();
    feeds->add_option("--step", a.step, "profile, finish, pocket, rest or drill")->capture_default_str();
    feeds->add_option("--depth", a.depth, "depth to cut, mm")
        ->capture_default_str()
        ->transform(in_unit(kerfwright::Dimension::length));
    feeds->add_option("--n", a.n, "speed to judge, rev/min")->transform(in_unit(kerfwright::Dimension::speed));
    feeds->add_option("--vf", a.vf, "feed to judge, mm/min")->transform(in_unit(kerfwright::Dimension::feed));
    feeds->add_option("--ap", a.ap, "depth of a pass to judge, mm")->transform(in_unit(kerfwright::Dimension::length));
    feeds->add_option("--ae", a.ae, "width of cut to judge, mm")->transform(in_unit(kerfwright::Dimension::length));
    feeds->add_option("--log", a.log, "the shop's log: bounds follow what was seen with this cutter and material");
    feeds->add_option("--tap", a.tap, "WAV recording of taps on the cutter's tip: chatter lobes and quiet speeds");
    feeds->add_option("--stiffness", a.stiffness, "with --tap: stiffness at the tip, N/mm, if measured")
        ->check(CLI::Range(1.0, 1e7));
    feeds->add_option("--listen", a.listen, "WAV recording of a cut at --n: does it chatter?");
    feeds->footer("Example: kerfwright feeds --material mdf --cutter flat-6 --n 18000 --vf 1500 --ap 3 --ae 6\n"
                  "  kerfwright feeds --material mdf --cutter flat-6 --tap tap.wav\n"
                  "  kerfwright feeds --material mdf --cutter flat-6 --listen cut.wav --n 18000");
}

void add_prove(CLI::App& prove, ProveArguments& a) {
    prove.add_option("TARGET", a.target, "an output folder, a job file with --setup, or a program with --stock")
        ->required();
    prove.add_option("PROGRAM", a.programs, "programs in the order they run");
    prove.add_option("--setup", a.setup, "with a job: the setup whose stock and parts count");
    prove.add_option("--cutters", a.foreign.cutters, "cutters by tool number, like \"1=flat-6,2=flat-3\"");
    prove.add_option("--stock", a.foreign.stock, "without a job: along X, along Y, thickness, like \"300x200x12 mm\"");
    prove.add_option("--material", a.foreign.material, "of the stock; without it, loads and feeds are not judged");
    prove.add_option("--machine", a.foreign.machine, "shipped machine or its file")->capture_default_str();
    prove.add_option("--zero", a.foreign.zero, "where Z zero is: bed, or top of the stock")->capture_default_str();
    prove.add_option("--clamp", a.foreign.clamps, "keep-out box, like \"0,150,60x40x25 mm\"; may be given again")
        ->allow_extra_args(false);
    prove.add_option("--hold", a.foreign.holds, "what holds the stock and its parts: tape, vacuum, ...")
        ->allow_extra_args(false);
    prove.footer("Example: kerfwright prove examples/skerry/out\n"
                 "  kerfwright prove part.nc --stock \"300x200x12 mm\" --material mdf --cutters 1=flat-6 --zero top");
}

CLI::App* add_coupon(CLI::App& root, CouponArguments& a) {
    CLI::App* coupon = root.add_subcommand("coupon", "A small test cut with its program and a form");
    coupon->add_option("KIND", a.kind, "fit, feed or skin")->required();
    coupon->add_option("--material", a.material, "material, such as walnut")->required();
    coupon->add_option("--cutter", a.cutter, "cutter, such as flat-3")->required();
    coupon->add_option("--machine", a.machine, "machine")->capture_default_str();
    coupon->add_option("--thickness", a.thickness, "of the sheet, as measured")
        ->capture_default_str()
        ->transform(in_unit(kerfwright::Dimension::length));
    coupon->add_option("--hold", a.hold, "tape, clamps, screws, vacuum, skin, tabs (default: tape)");
    coupon->add_option("--out", a.out, "output folder (default: coupon-KIND-MATERIAL-CUTTER)");
    coupon->footer("Example: kerfwright coupon fit --material walnut --cutter flat-3 --thickness 6.2");
    return coupon;
}

struct LogCommands {
    CLI::App *log, *add, *show;
};
LogCommands add_log(CLI::App& root, LogArguments& a) {
    using kerfwright::Dimension;
    CLI::App* log = root.add_subcommand("log", "What was measured after cutting");
    log->require_subcommand(1);
    log->fallthrough();
    log->add_option("--log", a.file, "the log's file")->capture_default_str();
    CLI::App* add = log->add_subcommand("add", "Adds one measurement");
    add->add_option("KIND", a.kind, "size, cut or part")->required();
    add->add_option("--date", a.date, "YYYY-MM-DD (default: today)");
    add->add_option("--material", a.material, "material");
    add->add_option("--cutter", a.cutter, "cutter");
    add->add_option("--asked", a.asked, "size: what was asked")->transform(in_unit(Dimension::length));
    add->add_option("--measured", a.measured, "size: what was measured")->transform(in_unit(Dimension::length));
    add->add_flag("--inside", a.inside, "size: of a hole or recess");
    add->add_option("--n", a.n, "cut: speed")->transform(in_unit(Dimension::speed));
    add->add_option("--vf", a.vf, "cut: feed")->transform(in_unit(Dimension::feed));
    add->add_option("--outcome", a.outcome, "cut: good, noisy, rough, melted, burnt, broken; part: held, lost");
    add->add_option("--hold", a.hold, "part: such as tape+skin");
    add->add_option("--margin", a.margin, "part: the margin that was planned");
    add->add_option("--note", a.note, "anything else");
    add->footer("Example: kerfwright log add size --cutter flat-3 --asked 24 --measured 24.06");
    CLI::App* show = log->add_subcommand("show", "The entries, and what they say about cutters, feeds and holds");
    show->footer("Example: kerfwright log show --log shop.sqlite");
    log->footer("Example: kerfwright log add size --cutter flat-3 --asked 24 --measured 24.06");
    return {log, add, show};
}

int run(int argc, char** argv) {
    CLI::App root{"Kerfwright: from one drawing to proven programs for a set of parts that fit each other"};
    root.set_version_flag("--version", "kerfwright " KERFWRIGHT_VERSION);
    root.require_subcommand(1);
    root.fallthrough();
    Console console;
    root.add_flag("--json", console.json, "print exactly one JSON document on stdout");
    root.add_flag("--quiet", console.quiet, "no progress on stderr");
    root.add_option("--threads", console.threads, "threads to use; 0 for all")->check(CLI::Range(0, 256));
    root.footer("Example: kerfwright plan examples/skerry/job.toml");

    NewArguments new_job;
    CLI::App* make = root.add_subcommand("new", "Starts a job folder with a commented job.toml");
    make->add_option("DIR", new_job.folder, "folder to make")->required();
    make->add_option("--drawing", new_job.drawing, "the drawing: .svg .dxf .geojson .json")->required();
    make->add_option("--width", new_job.width, "finished width of the set")
        ->transform(in_unit(kerfwright::Dimension::length));
    make->add_option("--region", new_job.region, "what names a region: id, layer, fill, property:NAME")
        ->capture_default_str();
    make->footer("Example: kerfwright new tray --drawing island.svg --width \"22 in\"");

    LookArguments look;
    CLI::App* see = root.add_subcommand("look", "Regions, seams, sizes, narrow places and faults of a drawing");
    see->add_option("FILE", look.file, "a drawing or a job file")->required();
    see->add_option("--width", look.width, "finished width of the set")
        ->transform(in_unit(kerfwright::Dimension::length));
    see->add_option("--region", look.region, "what names a region")->capture_default_str();
    see->footer("Example: kerfwright look island.svg --width 560");

    PlanArguments plan;
    CLI::App* all =
        root.add_subcommand("plan", "Everything: fit, layout, feeds, holding, toolpaths, programs, proof, papers");
    all->add_option("JOB", plan.job, "the job file")->required();
    all->add_option("--out", plan.out, "output folder (default: out beside the job file)");
    all->footer("Example: kerfwright plan examples/skerry/job.toml --out /tmp/skerry");

    RecutArguments recut;
    CLI::App* again = root.add_subcommand("recut", "One piece again, from another sheet, for the mates that are cut");
    again->add_option("JOB", recut.job, "the job file")->required();
    again->add_option("--piece", recut.piece, "the piece")->required();
    again->add_option("--sheet", recut.sheet, "a sheet of the job, of the same material")->required();
    again->add_option("--out", recut.out, "output folder (default: recut-PIECE beside the job file)");
    again->footer("Example: kerfwright recut examples/skerry/job.toml --piece tuff-west --sheet walnut-a");

    CouponArguments coupon;
    CLI::App* test_cut = add_coupon(root, coupon);
    LogArguments log;
    const LogCommands logging = add_log(root, log);

    ProveArguments prove;
    CLI::App* judge = root.add_subcommand("prove", "Proves programs from their text");
    add_prove(*judge, prove);

    FeedsArguments feeds;
    add_feeds(root, feeds);

    PageArguments page;
    CLI::App* serve =
        root.add_subcommand("page", "The local web page: look, give materials, move parts, watch the proof");
    serve->add_option("JOB", page.job, "the job file; without it, drop a drawing on the page");
    serve->add_option("--port", page.port, "port of 127.0.0.1; 0 for any free one")->check(CLI::Range(0, 65535));
    serve->add_flag("--no-open", page.no_open, "do not open the browser");
    serve->footer("Example: kerfwright page examples/skerry/job.toml");

    std::string job;
    const auto with_job = [&](const char* name, const char* what) {
        CLI::App* command = root.add_subcommand(name, what);
        command->add_option("JOB", job, "the job file")->required();
        command->footer(std::string("Example: kerfwright ") + name + " examples/skerry/job.toml");
        return command;
    };
    CLI::App* fit = with_job("fit", "The fit alone: seams, gaps, and how far borders were eased");
    CLI::App* hold = with_job("hold", "What holds every part at its worst moment");
    CLI::App* quote = with_job("quote", "The price, with its range");

    try {
        root.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        const int code = root.exit(error);
        return code == 0 ? Exit::done : Exit::unusable;
    }
    if (make->parsed()) return run_new(console, new_job);
    if (see->parsed()) return run_look(console, look);
    if (all->parsed()) return run_plan(console, plan);
    if (test_cut->parsed()) return run_coupon(console, coupon);
    if (logging.add->parsed()) return run_log_add(console, log);
    if (logging.show->parsed()) return run_log_show(console, log);
    if (again->parsed()) return run_recut(console, recut);
    if (judge->parsed()) return run_prove(console, prove);
    if (serve->parsed()) return run_page(console, page);
    if (fit->parsed()) return run_fit(console, job);
    if (hold->parsed()) return run_hold(console, job);
    if (quote->parsed()) return run_quote(console, job);
    return run_feeds(console, feeds);
}

} // namespace

int main(int argc, char** argv) {
    try {
        return run(argc, argv);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "kerfwright: a fault of ours: %s; please report it with the input that caused it\n",
                     error.what());
        return Exit::our_fault;
    }
}
