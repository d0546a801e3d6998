#pragma once
// Who may come in. The page is for the person at this computer: other sites in the same browser, other names for this
// address and anybody without the token stay out.

#include "page/message.hpp"

#include <optional>
#include <string>

namespace kerfwright::page {

/// 128 bits from the kernel, as 32 hexadecimal digits.
[[nodiscard]] std::string fresh_token();

/// Does the text equal the token? Takes the same time for every text of the token's length.
[[nodiscard]] bool same_token(const std::string& text, const std::string& token);

struct Door {
    int port = 0;
    std::string token;
};

/// Empty when the request may come in: `Host` (and `Origin`, where sent) is this very place; requests to /api/ carry
/// the token; the method is one that is served. Else why not: 400, 403 or 405.
[[nodiscard]] std::optional<Reply> turned_away(const Request& request, const Door& door);

/// Headers of every reply: own files only, no guessing of types, no frames around the page.
[[nodiscard]] const std::vector<std::pair<std::string, std::string>>& house_headers();

} // namespace kerfwright::page
