// New members where readings want them (nockwise/ensemble.hpp). In fifteen dimensions weights by how often a place is
// drawn would leave one member; so all count alike before the readings, and draws crowd a little more than they should.
#include "bow_builder/guesses.hpp"
#include "ensemble/members.hpp"
#include "ensemble/readings.hpp"
#include "numerics/random_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nockwise {

namespace {

using Place = std::vector<double>;

/// Normal kernels around the members that count, folded back into the span at its ends.
class Round {
 public:
  explicit Round(const BowEnsemble& ensemble) {
    for (const EnsembleMember& member : ensemble.members) {
      if (member.weight > 1e-6) {
        centres_.push_back(member.guesses);
        weights_.push_back(member.weight);
      }
    }
    const std::size_t size = centres_.front().size();
    for (std::size_t d = 0; d < size; ++d) {
      double mean = 0.0;
      double square = 0.0;
      for (std::size_t k = 0; k < centres_.size(); ++k) {
        mean += weights_[k] * centres_[k][d];
        square += weights_[k] * centres_[k][d] * centres_[k][d];
      }
      constexpr double narrowest = 0.05;
      constexpr double share = 0.7;  // of the members' own spread
      width_.push_back(std::max(narrowest, share * std::sqrt(std::max(0.0, square - mean * mean))));
    }
  }

  [[nodiscard]] Place draw(detail::RandomNumbers& random) const {
    double left = random.between(0.0, 1.0);
    std::size_t k = 0;
    while (k + 1 < centres_.size() && left > weights_[k]) {
      left -= weights_[k++];
    }
    Place place = centres_[k];
    for (std::size_t d = 0; d < place.size(); ++d) {
      // Box and Muller.
      const double radius = std::sqrt(-2.0 * std::log(random.between(1e-12, 1.0)));
      double at = place[d] + width_[d] * radius * std::cos(2.0 * std::numbers::pi * random.between(0.0, 1.0));
      at = std::fabs(std::remainder(at, 2.0));
      place[d] = at;
    }
    return place;
  }

 private:
  std::vector<Place> centres_;
  std::vector<double> weights_;
  Place width_;
};

}  // namespace

BowEnsemble refined(const BowEnsemble& ensemble, std::span<const EnsembleReading> readings,
                    const EnsembleOptions& options) {
  detail::check_member_count(options.members);
  BowEnsemble result = ensemble;
  std::vector<double> misfit = detail::misfits(ensemble, 0, readings, options);
  detail::weigh(result, misfit, std::vector<double>(misfit.size(), 1.0));
  constexpr std::uint64_t most_rounds = 2;
  for (std::uint64_t round = 0; round < most_rounds; ++round) {
    const Round around(result);
    detail::RandomNumbers random(options.seed + 0x9e3779b97f4a7c15ULL * (round + 1));
    std::vector<Place> places;
    for (int i = 0; i < options.members; ++i) {
      places.push_back(around.draw(random));
    }
    const std::size_t before = result.members.size();
    detail::build_members(result, places, options);
    const std::vector<double> more = detail::misfits(result, before, readings, options);
    misfit.insert(misfit.end(), more.begin(), more.end());
    detail::weigh(result, misfit, std::vector<double>(misfit.size(), 1.0));
  }
  return result;
}

}  // namespace nockwise
