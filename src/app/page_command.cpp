// page: the local web page.

#include "app/commands.hpp"

#include <fmt/format.h>

#include <cstdio>

#ifdef KERFWRIGHT_PAGE

#include "page/serve.hpp"

namespace kerfwright::app {

int run_page(const Console& console, const PageArguments& arguments) {
    page::ServeOptions options;
    options.version = KERFWRIGHT_VERSION;
    if (!arguments.job.empty()) options.job = arguments.job;
    options.port = arguments.port;
    options.open_browser = !arguments.no_open;
    options.threads = console.threads;
    options.announce = [&](const std::string& address, int port) {
        say(console, address + "\n");
        print(console, {{"address", address}, {"port", port}});
        std::fflush(stdout); // whoever started us waits for this line
    };
    const auto served = page::serve(options);
    return served ? Exit::done : fail(console, served.problem());
}

} // namespace kerfwright::app

#else

namespace kerfwright::app {

int run_page(const Console& console, const PageArguments&) {
    return fail(console, {"", 0, 0, "this build has no page", "build Kerfwright with -DKERFWRIGHT_PAGE=ON"});
}

} // namespace kerfwright::app

#endif
