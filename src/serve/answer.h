#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

#include "build/problem.h"

namespace fettle::serve {

using Headers = std::vector<std::pair<std::string, std::string>>;

/// What is answered to a request, before it goes on the wire.
struct Answer {
  int status = 200;
  std::string type;
  std::string body;
  Headers headers = {};
};

inline constexpr std::string_view json_type = "application/json";

/// An answer under /api/: JSON, never kept by a cache.
Answer json_answer(int status, const nlohmann::ordered_json& body);
/// The same from JSON that is text already.
Answer json_text_answer(int status, std::string body);

/// { "error": { "code", "says", "problems" } } and the members of `more` beside it (docs/api.md).
Answer error_answer(int status, std::string_view code, std::string_view says,
                    const build::Problems& problems = {},
                    const nlohmann::ordered_json& more = nlohmann::ordered_json::object());

nlohmann::ordered_json problems_json(const build::Problems& problems);

/// `object` with last members, names and values, whose values are JSON text already.
std::string with_members(const nlohmann::ordered_json& object,
                         std::initializer_list<std::pair<std::string_view, std::string_view>> members);

/// What every answer carries: a policy under which the page may load nothing from elsewhere, run nothing that
/// stands within a document, and be framed by nobody.
const Headers& security_headers();
/// An answer's own headers and those of security_headers() that it does not set itself.
Headers all_headers(const Answer& answer);

}  // namespace fettle::serve
