#pragma once

#include <list>
#include <memory>
#include <mutex>
#include <string>

#include <nlohmann/json.hpp>

#include "build/codec.h"

namespace fettle::serve {

/// Documents read as builds; the latest few are kept, since a document is read when it is to be written and
/// again when it is to be proved. Every member may be called from any thread.
class ReadBuilds {
 public:
  std::shared_ptr<const build::ReadBuild> of(const nlohmann::json& document);

 private:
  struct Kept {
    std::string text;  ///< of the document: == of JSON takes 1 for 1.0, the reader does not
    std::shared_ptr<const build::ReadBuild> read;
  };

  std::shared_ptr<const build::ReadBuild> known(const std::string& text);

  std::mutex mutex_;
  std::list<Kept> recent_;  // latest read first
};

}  // namespace fettle::serve
