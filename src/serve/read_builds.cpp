#include "serve/read_builds.h"

#include <algorithm>

namespace fettle::serve {
namespace {

constexpr std::size_t most_kept = 4;

}  // namespace

std::shared_ptr<const build::ReadBuild> ReadBuilds::known(const nlohmann::json& document) {
  const std::lock_guard lock(mutex_);
  const auto found = std::find_if(recent_.begin(), recent_.end(),
                                  [&](const Kept& kept) { return kept.document == document; });
  return found == recent_.end() ? nullptr : found->read;
}

std::shared_ptr<const build::ReadBuild> ReadBuilds::of(const nlohmann::json& document) {
  if (auto read = known(document)) {
    return read;
  }
  auto read = std::make_shared<const build::ReadBuild>(build::read_document(document));
  const std::lock_guard lock(mutex_);
  recent_.push_front({document, read});
  if (recent_.size() > most_kept) {
    recent_.pop_back();
  }
  return read;
}

}  // namespace fettle::serve
