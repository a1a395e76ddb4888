// Shots with errors, launched in the lanes of a sweep and flown to the target. Private.
#pragma once

#include "groups/sources.hpp"
#include "nockwise/group.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace nockwise::detail {

/// Where one shot struck.
struct Strike {
  double up = 0.0, right = 0.0;       // from the target's centre [m]
  bool touches = false;               // a vane would strike the launcher or a cable
  bool bounces = false;               // the shaft meets the launcher again
  std::optional<double> clearance{};  // from launcher to vanes as they pass [m]
  std::string failure;                // empty where it arrived
};

/// One setup, sighted in, and its shots.
class Shooter {
 public:
  /// \throws as forgiveness()
  Shooter(const Setup& setup, const Scatter& scatter, const GroupOptions& options);

  [[nodiscard]] const Setup& setup() const { return model_.setup(); }
  [[nodiscard]] const std::vector<ActiveSource>& sources() const { return sources_; }
  [[nodiscard]] double distance() const { return distance_; }
  [[nodiscard]] const Sight& sight() const { return sight_; }
  [[nodiscard]] const Launch& launch() const { return launch_; }
  [[nodiscard]] const Model& model() const { return model_; }

  /// Shoot them all, in their order whatever the number of threads.
  /// \throws Interrupted
  [[nodiscard]] std::vector<Strike> shoot(std::span<const ShotErrors> shots) const;
  /// Flights of the launch without error in the gusts of so many shots.
  [[nodiscard]] std::vector<Strike> in_gusts(std::size_t count) const;

 private:
  [[nodiscard]] Strike strike(const Model& model, const Launch& launch, const ShotErrors& errors) const;

  GroupOptions options_;
  std::vector<ActiveSource> sources_;
  Model model_;
  Setup bare_;  // the setup without words and what is known of it, of which every shot is a copy
  Launch launch_;
  double distance_ = 0.0;
  Sight sight_;
};

/// Slopes of the impact, for straight lines; rows are up and right.
struct Slopes {
  std::vector<double> up, right;              // per standard deviation of each active source [m]
  std::vector<double> up_level, right_level;  // the same of what points any way, a quarter turn on; 0 of the others
};

/// How many flights tell what gusts do.
inline constexpr int gust_flights = 64;
/// What gusts do to the shot without error; nothing where no arrow arrives in them.
[[nodiscard]] std::optional<SourceEffect> effect_of_gusts(const Shooter& shooter);

/// What each source does alone, and its slopes.
[[nodiscard]] Forgiveness forgiveness_of(const Shooter& shooter, const GroupOptions& options, Slopes& slopes);

}  // namespace nockwise::detail
