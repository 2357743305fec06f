#include "cli/problems.h"

#include <ostream>

#include <nlohmann/json.hpp>

namespace fettle::cli {

void write_problems(const build::Problems& problems, bool json, std::ostream& out, std::ostream& err) {
  if (json) {
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    for (const auto& problem : problems) {
      list.push_back({{"place", problem.place},
                      {"given", problem.given},
                      {"accepted", problem.accepted},
                      {"example", problem.example}});
    }
    out << nlohmann::ordered_json{{"problems", list}}.dump(2, ' ', false,
                                                           nlohmann::json::error_handler_t::replace)
        << '\n';
  }
  for (const auto& problem : problems) {
    err << "fettle: " << problem.message() << '\n';
  }
}

}  // namespace fettle::cli
