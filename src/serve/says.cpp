#include "serve/says.h"

#include <vector>

#include <fmt/format.h>

#include "quantity/text.h"
#include "serve/body.h"

namespace fettle::serve {
namespace {

using ledger::Step;

/// "/readings/r17/wheel" as "reading r17, wheel"; "/cam/card/intake/lift" as "cam, card, intake, lift".
std::string place_in_words(const std::string& path) {
  std::vector<std::string> tokens;
  for (std::size_t start = 1; start <= path.size() && path.size() > 1;) {
    const auto end = std::min(path.find('/', start), path.size());
    std::string token = path.substr(start, end - start);
    for (const auto& [written, meant] : {std::pair{"~1", "/"}, std::pair{"~0", "~"}}) {
      for (auto at = token.find(written); at != std::string::npos; at = token.find(written, at + 1)) {
        token.replace(at, 2, meant);
      }
    }
    tokens.push_back(quantity::shown_text(token, 40));
    start = end + 1;
  }
  if (tokens.empty()) {
    return "the whole build";
  }
  if (tokens.size() > 1 && tokens[0] == "readings") {
    tokens[1] = "reading " + tokens[1];
    tokens.erase(tokens.begin());
  }
  return fmt::format("{}", fmt::join(tokens, ", "));
}

std::string short_value(const nlohmann::json& value) {
  return value.is_string() ? quantity::shown_text(value.get<std::string>(), 30) : shown(value);
}

std::string step_in_words(const Step& step) {
  const std::string place = place_in_words(step.path);
  if (!step.value) {
    return place + " removed";
  }
  if (!step.before) {
    return step.value->is_primitive() ? fmt::format("{}: {}", place, short_value(*step.value))
                                      : place + " added";
  }
  if (step.value->is_primitive() && step.before->is_primitive()) {
    return fmt::format("{}: {} -> {}", place, short_value(*step.before), short_value(*step.value));
  }
  return place + " changed";
}

}  // namespace

std::string says(const ledger::Entry& entry) {
  switch (entry.kind) {
    case ledger::EntryKind::create:
      return "engine begun";
    case ledger::EntryKind::import:
      return "brought in from another ledger";
    case ledger::EntryKind::archive:
      return "put away";
    case ledger::EntryKind::restore:
      return "taken back out";
    default:
      break;
  }
  if (entry.steps.empty()) {
    return std::string(to_text(entry.kind));
  }
  const std::string first = entry.kind == ledger::EntryKind::rename
                                ? "name: " + short_value(entry.steps[0].value.value_or(nullptr))
                                : step_in_words(entry.steps[0]);
  return entry.steps.size() == 1 ? first : fmt::format("{}, and {} more", first, entry.steps.size() - 1);
}

}  // namespace fettle::serve
