#pragma once
// Private to page/: the person's own browser.

#include <filesystem>
#include <string>

namespace kerfwright::page {

/// Opens an address in the default browser, as long as it lives. The address holds the token, and the arguments of a
/// process can be read by everybody: so the browser is given a file that only we may read and that leads to the
/// address.
class OpenedInBrowser {
  public:
    explicit OpenedInBrowser(const std::string& address);
    ~OpenedInBrowser(); ///< removes the file
    OpenedInBrowser(const OpenedInBrowser&) = delete;
    OpenedInBrowser& operator=(const OpenedInBrowser&) = delete;

  private:
    std::filesystem::path file_;
};

} // namespace kerfwright::page
