// Somebody who reads TOML with toml++, header-only as it comes: his parser must not take the place of the library's,
// which tells malformed texts where the one of version 3.3 aborts.
// usage: toml_user
#include <nockwise/nockwise.hpp>
#include <toml++/toml.h>

#include <exception>
#include <iostream>
#include <string>

int main() {
  try {
    const toml::table own = toml::parse("[[item]]\nlist = [1, 2.5, 'three']\ndate = 2026-11-30\n");
    std::cout << own << '\n';
    if (own["item"][0]["list"][1].value_or(0.0) != 2.5)
      return 1;
    for (const char* malformed : {"[&", "a = [b", "mass = 2 N\xc2\xb7m"}) {
      try {
        static_cast<void>(nockwise::parse_setup(malformed, "malformed.toml"));
        std::cerr << "accepted: " << malformed << '\n';
        return 1;
      } catch (const nockwise::InputError& error) {  // and no other: it is caught by its type across the border
        std::cout << "refused: " << error.what() << '\n';
        if (error.file() != "malformed.toml")
          return 1;
      }
    }
    return 0;
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 1;
  }
}
