// Which arrow to buy (nockwise/arrow_table.hpp).
#include "nockwise/arrow_table.hpp"

#include "groups/statistics.hpp"
#include "nockwise/draw.hpp"
#include "nockwise/error.hpp"
#include "nockwise/ignorance.hpp"
#include "nockwise/launch.hpp"
#include "numerics/quantile.hpp"

#include <algorithm>
#include <cmath>

namespace nockwise {

namespace {

constexpr double indistinguishable = 0.02;  // of the size: nobody sees it
constexpr double errors_apart = 2.0;

Setup with_choice(const Setup& setup, const ArrowChoice& choice) {
  Setup chosen = setup;
  if (choice.spine) {
    chosen.set("arrow.spine", *choice.spine);
  }
  if (choice.point_mass) {
    chosen.set("arrow.point_mass", *choice.point_mass);
  }
  if (choice.length) {
    chosen.set("arrow.length", *choice.length);
  }
  return chosen;
}

std::string title_of(const Setup& chosen) {
  return display(chosen.get("arrow.spine"), Quantity::length, "in", 3) + ", " +
         display(chosen.arrow.point_mass, Quantity::mass, "gr", 0) + ", " +
         display(chosen.arrow.length, Quantity::length, "in", 2);
}

/// Mass, speed, cautions.
void fill_shot(const Setup& chosen, ArrowRow& row) {
  const Model model(chosen);
  const Launch shot = launch(model);
  row.mass = model.arrow().mass;
  row.mass_per_peak = row.mass / draw_cycle(model).peak_force;
  row.light = std::any_of(shot.cautions.begin(), shot.cautions.end(),
                          [](const Caution& each) { return each.kind == CautionKind::light_arrow; });
  row.speed = shot.exit_speed;
  row.vane_clearance = shot.rest.fletching_clearance;
}

void fill_group(const Group& near, const Group& far, ArrowRow& row) {
  row.tear_up = row.tear_up_low = row.tear_up_high = far.forgiveness.tear_up;
  row.tear_right = row.tear_right_low = row.tear_right_high = far.forgiveness.tear_right;
  row.touches = static_cast<double>(far.touches) / static_cast<double>(far.shots);
  row.near_size = detail::size_of(near);
  row.far_size = detail::size_of(far);
  row.far_width = far.width_of_six_right;
  row.far_height = far.width_of_six_up;
  row.near_elevation = near.forgiveness.sight.elevation;
  row.far_elevation = far.forgiveness.sight.elevation;
}

/// Where the sight's pin stands for each, from where it does for the first at the nearer distance.
void fill_marks(double sight_radius, ArrowTable& table) {
  const auto shot = [](const ArrowRow& row) { return row.failure.empty(); };
  const auto first = std::find_if(table.rows.begin(), table.rows.end(), shot);
  const double zero = std::tan(first->near_elevation);
  for (ArrowRow& row : table.rows) {
    if (shot(row)) {
      row.near_mark = sight_radius * (std::tan(row.near_elevation) - zero);
      row.far_mark = sight_radius * (std::tan(row.far_elevation) - zero);
    }
  }
}

/// Tears of the bows that this one may be.
void fill_intervals(const Setup& setup, const std::vector<Setup>& chosen, const ArrowTableOptions& options,
                    ArrowTable& table) {
  const IgnoranceOptions running{.threads = options.group.threads, .stop = options.group.stop};
  const Ignorance ignorance = ignorance_of(setup, running);
  std::vector<WatchedShot> shots;
  std::vector<std::size_t> row_of;
  for (std::size_t i = 0; i < chosen.size(); ++i) {
    if (table.rows[i].failure.empty()) {
      shots.push_back({chosen[i], {{Output::tear_up}, {Output::tear_right}}});
      row_of.push_back(i);
    }
  }
  const auto places = drawn_places(ignorance, options.bows, options.group.seed);
  std::size_t failed = 0;
  for (std::size_t k = 0; k < shots.size(); ++k) {
    std::vector<double> up;
    std::vector<double> right;
    for (const DrawnReadings& each : shoot_drawn(ignorance, {&shots[k], 1}, places, running)) {
      if (each.failure.empty()) {
        up.push_back(each.value[0]);
        right.push_back(each.value[1]);
      } else {
        ++failed;
      }
    }
    std::sort(up.begin(), up.end());
    std::sort(right.begin(), right.end());
    if (!up.empty()) {
      ArrowRow& row = table.rows[row_of[k]];
      row.tear_up_low = detail::quantile(up, 0.05);
      row.tear_up_high = detail::quantile(up, 0.95);
      row.tear_right_low = detail::quantile(right, 0.05);
      row.tear_right_high = detail::quantile(right, 0.95);
    }
  }
  if (failed > 0) {
    table.notes.push_back(std::to_string(failed) + " of " + std::to_string(places.size() * shots.size()) +
                          " shots of drawn bows cannot be shot and are left out of the tears' intervals");
  }
}

void compare(const std::vector<Group>& far, ArrowTable& table) {
  std::size_t best = table.rows.size();
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const ArrowRow& row = table.rows[i];
    if (row.failure.empty() && !row.light && (best == table.rows.size() || row.far_size < table.rows[best].far_size)) {
      best = i;
    }
  }
  if (best == table.rows.size()) {
    table.advice = "every choice that can be shot is too light for this bow: heavier points or shafts are needed";
    return;
  }
  std::size_t others = 0;
  std::size_t smallest_hole = best;
  std::size_t lightest = best;
  const auto hole = [&](std::size_t i) {
    const ArrowRow& row = table.rows[i];
    return std::max({std::fabs(row.tear_up_low), std::fabs(row.tear_up_high), std::fabs(row.tear_right_low),
                     std::fabs(row.tear_right_high)});
  };
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    ArrowRow& row = table.rows[i];
    if (!row.failure.empty()) {
      continue;
    }
    const detail::Gain loss = detail::gain_of(far[best], far[i]);
    row.larger = -loss.value;
    row.larger_error = loss.error;
    row.as_good = !row.light && row.larger <= std::max(indistinguishable, errors_apart * row.larger_error);
    others += row.as_good && i != best ? 1 : 0;
    if (row.as_good && hole(i) < hole(smallest_hole)) {
      smallest_hole = i;
    }
    if (row.as_good && row.mass < table.rows[lightest].mass) {
      lightest = i;
    }
  }
  table.advice = "the smallest group is of " + table.rows[best].title;
  if (others > 0) {
    table.advice += "; " + std::to_string(others) + (others == 1 ? " other is" : " others are") +
                    " indistinguishable for this archer: of these, " + table.rows[smallest_hole].title +
                    " leaves the smallest hole to tune away, and " + table.rows[lightest].title +
                    " is the lightest, which flies flattest";
  }
}

void check(const std::vector<ArrowChoice>& choices, const ArrowTableOptions& options) {
  constexpr std::size_t most = 200;
  constexpr std::size_t most_bows = 1000;
  if (choices.empty() || choices.size() > most) {
    throw InputError("choices", std::to_string(choices.size()), "must be 1 to 200 arrows");
  }
  if (options.bows > most_bows) {
    throw InputError("bows", std::to_string(options.bows), "must be from 0 to 1000");
  }
  if (!(options.far_distance > options.near_distance)) {
    throw InputError("far_distance", format_quantity(options.far_distance, Quantity::length, "m"),
                     "must be beyond near_distance");
  }
}

}  // namespace

std::vector<ArrowChoice> arrow_choices(const std::vector<double>& spines, const std::vector<double>& point_masses,
                                       const std::vector<double>& lengths) {
  const auto list = [](const std::vector<double>& given) {
    return given.empty() ? std::vector<std::optional<double>>(1)
                         : std::vector<std::optional<double>>(given.begin(), given.end());
  };
  std::vector<ArrowChoice> choices;
  for (const auto& spine : list(spines)) {
    for (const auto& point : list(point_masses)) {
      for (const auto& length : list(lengths)) {
        choices.push_back({spine, point, length});
      }
    }
  }
  return choices;
}

ArrowTable compare_arrows(const Setup& setup, const Scatter& scatter, const std::vector<ArrowChoice>& choices,
                          const ArrowTableOptions& options) {
  check(choices, options);
  ArrowTable table;
  table.name = setup.name;
  table.scatter = scatter.name;
  table.near_distance = options.near_distance;
  table.far_distance = options.far_distance;
  table.bows = options.bows;
  std::vector<Setup> chosen;
  std::vector<Group> far(choices.size());
  std::size_t shot = 0;
  for (std::size_t i = 0; i < choices.size(); ++i) {
    chosen.push_back(with_choice(setup, choices[i]));  // a number that no arrow can have is the caller's mistake
    ArrowRow& row = table.rows.emplace_back();
    row.choice = choices[i];
    row.title = title_of(chosen.back());
    GroupOptions at = options.group;
    try {
      at.distance = options.near_distance;
      const Group near = group(chosen.back(), scatter, at);
      at.distance = options.far_distance;
      far[i] = group(chosen.back(), scatter, at);
      fill_shot(chosen.back(), row);
      fill_group(near, far[i], row);
      ++shot;
    } catch (const SolverError& error) {
      row.failure = error.what();
    }
  }
  if (shot == 0) {
    throw SolverError("arrows", "none of the choices can be shot; the first: " + table.rows.front().failure);
  }
  fill_marks(options.group.conditions.sight_radius, table);
  if (options.bows > 0) {
    fill_intervals(setup, chosen, options, table);
  }
  compare(far, table);
  return table;
}

}  // namespace nockwise
