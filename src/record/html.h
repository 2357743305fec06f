#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace fettle::record {

/// HTML written front to back. Whatever is given as text is escaped; tags and classes are the program's own.
class Html {
 public:
  void open(std::string_view tag, std::string_view css_class = {});
  /// Closes what was opened last.
  void close();
  void text(std::string_view text);
  void element(std::string_view tag, std::string_view text, std::string_view css_class = {});
  /// Something that is HTML already.
  void raw(std::string_view html) { out_ += html; }

  /// All that was written; throws std::logic_error where an element is still open.
  std::string take();

 private:
  std::string out_;
  std::vector<std::string> open_;
};

std::string escaped(std::string_view text);

}  // namespace fettle::record
