#include "record/html.h"

#include <stdexcept>
#include <utility>

namespace fettle::record {

std::string escaped(std::string_view text) {
  std::string safe;
  safe.reserve(text.size());
  for (const char c : text) {
    switch (c) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '"':
        safe += "&quot;";
        break;
      default:
        safe += c;
    }
  }
  return safe;
}

void Html::open(std::string_view tag, std::string_view css_class) {
  out_ += '<';
  out_ += tag;
  if (!css_class.empty()) {
    out_ += " class=\"";
    out_ += css_class;
    out_ += '"';
  }
  out_ += '>';
  open_.emplace_back(tag);
}

void Html::close() {
  if (open_.empty()) {
    throw std::logic_error("Html::close: nothing is open");
  }
  out_ += "</" + open_.back() + ">\n";
  open_.pop_back();
}

void Html::text(std::string_view text) {
  out_ += escaped(text);
}

void Html::element(std::string_view tag, std::string_view text_inside, std::string_view css_class) {
  open(tag, css_class);
  text(text_inside);
  close();
}

std::string Html::take() {
  if (!open_.empty()) {
    throw std::logic_error("Html::take: <" + open_.back() + "> is still open");
  }
  return std::exchange(out_, {});
}

}  // namespace fettle::record
