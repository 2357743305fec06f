#include "serve/answer.h"

#include <algorithm>

namespace fettle::serve {

using nlohmann::ordered_json;

Answer json_answer(int status, const ordered_json& body) {
  return json_text_answer(status, body.dump(-1, ' ', false, ordered_json::error_handler_t::replace));
}

Answer json_text_answer(int status, std::string body) {
  return {status, std::string(json_type), std::move(body), {{"Cache-Control", "no-store"}}};
}

ordered_json problems_json(const build::Problems& problems) {
  ordered_json list = ordered_json::array();
  for (const build::Problem& problem : problems) {
    list.push_back({{"place", problem.place},
                    {"given", problem.given},
                    {"accepted", problem.accepted},
                    {"example", problem.example}});
  }
  return list;
}

Answer error_answer(int status, std::string_view code, std::string_view says, const build::Problems& problems,
                    const ordered_json& more) {
  ordered_json error{{"code", code}, {"says", says}};
  if (!problems.empty()) {
    error["problems"] = problems_json(problems);
  }
  ordered_json body{{"error", std::move(error)}};
  for (const auto& [name, value] : more.items()) {
    body[name] = value;
  }
  return json_answer(status, body);
}

std::string with_members(const ordered_json& object,
                         std::initializer_list<std::pair<std::string_view, std::string_view>> members) {
  std::string text = object.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
  text.pop_back();
  bool first = object.empty();
  for (const auto& [name, json_text] : members) {
    text += first ? "" : ",";
    text += ordered_json(name).dump();
    text += ':';
    text += json_text;
    first = false;
  }
  text += '}';
  return text;
}

Headers all_headers(const Answer& answer) {
  Headers all = answer.headers;
  for (const auto& header : security_headers()) {
    const bool own = std::any_of(answer.headers.begin(), answer.headers.end(),
                                 [&](const auto& set) { return set.first == header.first; });
    if (!own) {
      all.push_back(header);
    }
  }
  return all;
}

const Headers& security_headers() {
  static const Headers headers{
      {"Content-Security-Policy",
       "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
       "font-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
      {"X-Content-Type-Options", "nosniff"},
      {"X-Frame-Options", "DENY"},
      {"Referrer-Policy", "no-referrer"},
      {"Cross-Origin-Opener-Policy", "same-origin"},
      {"Cross-Origin-Resource-Policy", "same-origin"}};
  return headers;
}

}  // namespace fettle::serve
