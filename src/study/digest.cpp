#include "study/digest.h"

#include <array>
#include <stdexcept>

#include <sodium.h>

namespace fettle::study {

struct Digest::State {
  crypto_generichash_state hash;
};

Digest::Digest() : state_(std::make_unique<State>()) {
  if (sodium_init() < 0) {
    throw std::runtime_error("libsodium cannot be started");
  }
  crypto_generichash_init(&state_->hash, nullptr, 0, crypto_generichash_BYTES);
}

Digest::~Digest() = default;

void Digest::add(std::string_view bytes) {
  crypto_generichash_update(&state_->hash, reinterpret_cast<const unsigned char*>(bytes.data()),
                            bytes.size());
}

std::string Digest::hex() {
  std::array<unsigned char, crypto_generichash_BYTES> hash{};
  crypto_generichash_final(&state_->hash, hash.data(), hash.size());
  std::string text(2 * hash.size() + 1, '\0');
  sodium_bin2hex(text.data(), text.size(), hash.data(), hash.size());
  text.pop_back();
  return text;
}

}  // namespace fettle::study
