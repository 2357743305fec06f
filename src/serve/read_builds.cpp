#include "serve/read_builds.h"

#include <algorithm>
#include <utility>

namespace fettle::serve {
namespace {

constexpr std::size_t most_kept = 4;

}  // namespace

std::shared_ptr<const build::ReadBuild> ReadBuilds::known(const std::string& text) {
  const std::lock_guard lock(mutex_);
  const auto found =
      std::find_if(recent_.begin(), recent_.end(), [&](const Kept& kept) { return kept.text == text; });
  return found == recent_.end() ? nullptr : found->read;
}

std::shared_ptr<const build::ReadBuild> ReadBuilds::of(const nlohmann::json& document) {
  // A text that is not UTF-8 gets into no ledger; where one is asked about it is told as a problem.
  std::string text = document.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
  if (auto read = known(text)) {
    return read;
  }
  auto read = std::make_shared<const build::ReadBuild>(build::read_document(document));
  const std::lock_guard lock(mutex_);
  recent_.push_front({std::move(text), read});
  if (recent_.size() > most_kept) {
    recent_.pop_back();
  }
  return read;
}

}  // namespace fettle::serve
