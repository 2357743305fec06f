#include "cli/problems.h"

#include <ostream>

#include <nlohmann/json.hpp>

#include "build/codec.h"
#include "build/strict_json.h"
#include "cli/input.h"

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

std::optional<build::Build> read_build_file(const std::string& path, bool json, std::istream& in,
                                            std::ostream& out, std::ostream& err) {
  const InputText input = read_input(path, in, build::JsonBounds{}.bytes);
  if (!input.text) {
    err << "fettle: " << input.problem << '\n';
    return std::nullopt;
  }
  build::ReadBuild read = build::read_build(*input.text);
  if (!read.build) {
    write_problems(read.problems, json, out, err);
  }
  return std::move(read.build);
}

}  // namespace fettle::cli
