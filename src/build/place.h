#pragma once

#include <string>
#include <string_view>

#include <fmt/format.h>

namespace fettle::build {

/// Where one stands in a document; the text is only made when there is something to say about it.
class Place {
 public:
  Place() = default;
  Place(const Place& parent, std::string_view key) : parent_(&parent), key_(key) {}
  Place(const Place& parent, std::size_t index) : parent_(&parent), index_(index) {}

  std::string text() const {
    const std::string path = parts();
    return path.empty() ? "document" : path;
  }

 private:
  std::string parts() const {
    if (parent_ == nullptr) {
      return {};
    }
    const std::string before = parent_->parts();
    if (key_.empty()) {
      return fmt::format("{}[{}]", before, index_);
    }
    return before.empty() ? std::string(key_) : fmt::format("{}.{}", before, key_);
  }

  const Place* parent_ = nullptr;
  std::string_view key_;
  std::size_t index_ = 0;
};

}  // namespace fettle::build
