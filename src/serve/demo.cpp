#include "serve/demo.h"

#include <algorithm>
#include <fstream>
#include <iterator>
#include <utility>

#include <fmt/format.h>

#include "build/strict_json.h"
#include "serve/assets.h"
#include "serve/reading_ids.h"

namespace fettle::serve {
namespace {

namespace fs = std::filesystem;

struct Example {
  std::string name;
  std::string text;
};

std::vector<Example> examples(const fs::path& folder, DemoResult& result) {
  std::vector<Example> all;
  if (folder.empty()) {
    for (const Asset& asset : example_assets()) {
      all.push_back({std::string(asset.path.substr(1)), std::string(asset.bytes)});
    }
    return all;
  }
  std::error_code error;
  for (const auto& found : fs::directory_iterator(folder, error)) {
    if (found.path().extension() == ".json") {
      std::ifstream stream(found.path(), std::ios::binary);
      all.push_back({found.path().string(),
                     {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()}});
    }
  }
  if (error) {
    result.problems.push_back(
        fmt::format("{}: {}; give a folder with example builds", folder.string(), error.message()));
  }
  std::sort(all.begin(), all.end(), [](const Example& a, const Example& b) { return a.name < b.name; });
  return all;
}

void load(ledger::Ledger& ledger, const Example& example, DemoResult& result) {
  build::StrictJson read = build::read_strict_json(example.text);
  if (!read.problems.empty()) {
    result.problems.push_back(fmt::format("{}: {}", example.name, read.problems.front().message()));
    return;
  }
  give_ids(read.value);
  const std::string name = read.value.is_object() ? read.value.value("name", "example") : "example";
  const auto made = ledger.create(name, read.value, {"Fettle", "example", std::nullopt});
  if (const auto* refused = std::get_if<ledger::Refused>(&made)) {
    const bool listed = refused->objections && !refused->objections->empty();
    result.problems.push_back(fmt::format("{}: {}{}", example.name, refused->message,
                                          listed ? ": " + refused->objections->front().dump() : ""));
    return;
  }
  ++result.engines;
}

}  // namespace

DemoResult load_demo(ledger::Ledger& ledger, const fs::path& folder) {
  DemoResult result;
  if (!ledger.engines().empty()) {
    return result;
  }
  for (const Example& example : examples(folder, result)) {
    load(ledger, example, result);
  }
  return result;
}

}  // namespace fettle::serve
