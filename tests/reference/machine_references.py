"""What libraries say to questions about wheels, attachments, rotaries, work, cost and life."""

import math

import lifelines
import numpy as np
from scipy import constants, integrate, optimize, stats

from program import plain
from questions import Near, Same, between, one_of, random_numbers, root, whole


def surface_speed(diameter_mm, rpm):
    """Arc length travelled by a point of the rim in one second, m."""
    radius, turns = diameter_mm / 2000, rpm / constants.minute
    return integrate.quad(lambda _: radius * 2 * constants.pi * turns, 0, 1)[0]


def wheel_speed():
    diameter, rpm, rated = between(50, 300), between(500, 6000), between(20, 80)
    speed = surface_speed(diameter, rpm)
    most = root(lambda n: surface_speed(diameter, n) - rated, 0, 1e6)
    over = speed > rated
    yield (
        {
            "wheel_diameter_mm": diameter,
            "wheel_speed_rpm": rpm,
            "rated_surface_speed_mps": rated,
        },
        {
            "surface_speed_mps": Near(speed),
            "speed_to_rated_ratio": Near(rpm / most),
            "over_marked_maximum": Same(over),
            "max_wheel_speed_rpm": Same(None) if over else Near(most),
        },
    )


def groomer_depth():
    height = between(2, 30)
    reach = float(f"{height * between(-0.2, 0.9):.5g}")
    offset = round(between(0, 1), 3)
    checks = {
        "groomer_setting_mm": Near(height - reach, within=1e-12),
        "penetration_fraction": Near(reach / height, within=1e-12),
        "effective_tip_height_mm": Near(height - reach + offset, within=1e-12),
    }
    yield (
        {"height_of_cut_mm": height, "penetration_below_cut_mm": reach, "offset_mm": offset},
        checks,
    )
    before, now = between(50, 70), between(45, 70)
    yield (
        {"blade_diameter_when_set_mm": before, "blade_diameter_mm": now},
        {"setting_change_mm": Near(now / 2 - before / 2, within=1e-12)},
    )


def brush_contact():
    brush, roller = between(60, 150), between(40, 100)
    rpm, ground = between(200, 1500), between(0.5, 3)
    distance = float(f"{(brush + roller) / 2 - between(-1, 2):.6g}")
    yield (
        {
            "brush_diameter_mm": brush,
            "roller_diameter_mm": roller,
            "centre_distance_mm": distance,
            "brush_speed_rpm": rpm,
            "ground_speed_mps": ground,
        },
        {
            "brush_interference_mm": Near(brush / 2 + roller / 2 - distance, within=1e-12),
            "surface_speed_ratio": Near(surface_speed(brush, rpm) / ground),
        },
    )
    ratio = between(0.5, 4)
    solved = root(lambda n: surface_speed(brush, n) / ground - ratio, 0, 1e5)
    if solved <= 20000:
        yield (
            {"brush_diameter_mm": brush, "surface_speed_ratio": ratio, "ground_speed_mps": ground},
            {"brush_speed_rpm": Near(solved)},
        )


def verticut():
    hole, across, along = between(5, 20), between(25, 75), between(25, 75)
    half = hole / 2
    area = 2 * integrate.quad(lambda x: math.sqrt(half**2 - x**2), -half, half)[0]
    target = between(0.02, 0.2)
    yield (
        {
            "hole_diameter_mm": hole,
            "hole_spacing_across_mm": across,
            "hole_spacing_along_mm": along,
            "target_surface_share_fraction": target,
        },
        {
            "surface_share_fraction": Near(area / (across * along), 1e-7),
            "passes_for_target_count": Near(target * across * along / area, 1e-7),
        },
    )
    thickness, spacing, depth = between(1, 4), between(8, 60), between(2, 25)
    profile = round(depth + between(0, 40), 3)
    points, shaft, ground = whole(2, 12), between(400, 2000), between(0.5, 2)
    yield (
        {
            "blade_thickness_mm": thickness,
            "blade_spacing_mm": spacing,
            "depth_mm": depth,
            "profile_depth_mm": profile,
            "points_per_blade_count": points,
            "shaft_speed_rpm": shaft,
            "ground_speed_mps": ground,
        },
        {
            "surface_share_fraction": Near(thickness / spacing),
            "volume_share_fraction": Near(thickness * depth / (spacing * profile)),
            "cut_pitch_mm": Near(1000 * ground * constants.minute / (points * shaft)),
        },
    )


def rotary_tip_speed():
    length, rpm = between(350, 800), between(1800, 4200)
    speed = surface_speed(length, rpm)
    limit = 19000 * constants.foot / constants.minute
    over = speed > limit
    most = root(lambda n: surface_speed(length, n) - limit, 0, 1e6)
    yield (
        {"blade_length_mm": length, "spindle_speed_rpm": rpm},
        {
            "tip_speed_mps": Near(speed),
            "tip_speed_limit_mps": Near(limit),
            "over_published_limit": Same(over),
            "max_spindle_speed_rpm": Same(None) if over else Near(most),
        },
    )


def rotary_level():
    places = {
        "left_front": (-0.5, 0.5),
        "left_rear": (-0.5, -0.5),
        "right_front": (0.5, 0.5),
        "right_rear": (0.5, -0.5),
        "front": (0.0, 0.5),
        "rear": (0.0, -0.5),
    }
    names = list(places)[: whole(4, 6)]
    where = np.array([places[name] for name in names])
    heights = np.array([round(70 + random_numbers.gauss(0, 4), 1) for _ in names])
    rake, target = round(between(2, 8), 1), one_of(None, between(40, 90, 4))
    centre = where.mean(axis=0)
    design = np.column_stack([np.ones(len(names)), where - centre])
    plane, *_ = np.linalg.lstsq(design, heights, rcond=None)
    wanted = (target or heights.mean()) - rake * (where[:, 1] - centre[1])
    moves = wanted - design @ plane
    residuals = heights - design @ plane
    checks = {
        "mean_height_mm": Near(heights.mean()),
        "side_tilt_mm": Near(plane[1], within=1e-9),
        "rake_mm": Near(-plane[2], within=1e-9),
        "residual_sd_mm": Near(math.sqrt(residuals @ residuals / (len(names) - 3)), within=1e-9),
    }
    for index, move in enumerate(moves):
        checks[f"hanger_corrections_mm.{index}.move_mm"] = Near(move, within=1e-9)
    question = {
        "tip_heights_mm": {name: plain(height) for name, height in zip(names, heights)},
        "rake_front_low_mm": rake,
    }
    if target is not None:
        question["target_height_mm"] = target
    yield question, checks


def blade_balance():
    mass, rpm, grade = between(0.4, 4), between(1500, 4000), between(2, 40)
    heavy, radius = between(0.001, 0.02), between(100, 400)
    omega = rpm * 2 * constants.pi / constants.minute
    # The grade is the speed of the centre of mass round the spindle.
    offset_mm = root(lambda e: e * omega - grade, 0, 100)
    yield (
        {
            "blade_mass_kg": mass,
            "spindle_speed_rpm": rpm,
            "balance_grade_mm_per_s": grade,
            "heavy_mass_kg": heavy,
            "heavy_radius_mm": radius,
        },
        {
            "permissible_unbalance_g_mm": Near(1000 * mass * offset_mm),
            "unbalance_g_mm": Near(1000 * heavy * radius),
            "unbalance_force_n": Near(heavy * (omega * radius / 1000) ** 2 / (radius / 1000)),
            "unbalance_ratio": Near(heavy * radius / (mass * offset_mm)),
        },
    )


def field_capacity():
    width, overlap = between(500, 6000), between(20, 400)
    speed, efficiency, area = between(0.8, 4), between(0.2, 0.95), between(0.2, 40)
    net = (width - overlap) * constants.milli
    hourly = integrate.quad(lambda _: speed * net * efficiency, 0, constants.hour)[0]
    rate = hourly / constants.hectare
    rest = {
        "working_width_mm": width,
        "overlap_mm": overlap,
        "field_efficiency_fraction": efficiency,
        "area_ha": area,
    }
    yield (
        {**rest, "ground_speed_mps": speed},
        {"field_capacity_ha_per_h": Near(rate), "time_h": Near(area / rate)},
    )
    time = float(f"{area / rate:.6g}")
    solved = root(
        lambda v: v * net * efficiency * constants.hour / constants.hectare - area / time, 0, 20
    )
    yield {**rest, "time_h": time}, {"ground_speed_mps": Near(solved)}


def repair_cost():
    price, hours = between(5000, 100000), between(200, 3000)
    start = float(f"{hours * between(0.1, 0.8):.4g}")
    kind, factor, exponent = one_of(
        ("cutterbar", 0.46, 1.7),
        ("rotary", 0.44, 2.0),
        ("conditioner", 0.18, 1.6),
        ("rotary-conditioner", 0.16, 2.0),
    )

    # What the next hour costs, summed over the hours.
    def hourly(h):
        return price * factor * exponent / 1000 * (h / 1000) ** (exponent - 1)

    total = integrate.quad(hourly, 0, hours, epsabs=0, epsrel=1e-10)[0]
    period = integrate.quad(hourly, start, hours, epsabs=0, epsrel=1e-10)[0]
    yield (
        {
            "purchase_price": price,
            "machine_time_h": hours,
            "start_time_h": start,
            "mower_type": kind,
        },
        {
            "accumulated_repair_cost": Near(total, 1e-7),
            "cost_in_period": Near(period, 1e-6),
            "cost_fraction": Near(total / price, 1e-7),
        },
    )


def weibull_interval(failures, survivors, fraction, share, best):
    """Likelihood-ratio interval of the life at a fraction, by general minimisers."""
    ages, hazard = np.r_[failures, survivors], -math.log1p(-fraction)

    def loglik(log_shape, life):
        shape = math.exp(log_shape)
        scale = life / hazard ** (1 / shape)
        with np.errstate(over="ignore"):
            return np.sum(np.log(shape / scale) + (shape - 1) * np.log(failures / scale)) - np.sum(
                (ages / scale) ** shape
            )

    def profile(life):
        found = optimize.minimize_scalar(
            lambda s: -loglik(s, life), bounds=(-4, 5), method="bounded", options={"xatol": 1e-11}
        )
        return -found.fun

    floor = profile(best) - stats.chi2.ppf(share, 1) / 2
    low, high = best / 2, best * 2
    while profile(low) > floor:
        low /= 2
    while profile(high) > floor:
        high *= 2

    def inside(life):
        return profile(life) - floor

    return root(inside, low, best), root(inside, best, high)


def few_failures_due(failures, survivors, fraction):
    """Predictive life with the shape's prior integrated out by quadrature."""
    ages, count = np.r_[failures, survivors], len(failures)
    unit = ages.max()

    def log_weight(t):
        shape = 1.5 * math.exp(0.6 * t)
        exposure = np.sum((ages / unit) ** shape)
        return (
            -t * t / 2
            + count * math.log(shape)
            + (shape - 1) * np.sum(np.log(np.asarray(failures) / unit))
            - count * math.log(exposure)
        )

    grid = np.linspace(-5, 5, 4001)
    logs = np.array([log_weight(t) for t in grid])
    weights = np.exp(logs - logs.max())
    weights /= integrate.trapezoid(weights, grid)
    shapes = 1.5 * np.exp(0.6 * grid)
    exposures = np.array([np.sum((ages / unit) ** shape) for shape in shapes])

    def survival(life):
        chance = (exposures / (exposures + (life / unit) ** shapes)) ** count
        return integrate.trapezoid(weights * chance, grid)

    return root(lambda life: 1 - fraction - survival(life), unit * 1e-9, unit * 1e3)


def service_interval():
    yield from parts_that_end()
    yield from few_that_ended()
    yield from mended_machine()
    yield from bare_count()


def random_lives(count):
    shape, scale = between(0.8, 4), between(200, 2000)
    lives = [
        float(f"{scale * (-math.log(random_numbers.random())) ** (1 / shape):.4g}")
        for _ in range(count)
    ]
    return [max(life, 1.0) for life in lives]


def parts_that_end():
    lives = random_lives(whole(8, 30))
    limit = sorted(lives)[int(0.8 * len(lives))]
    failures = [life for life in lives if life <= limit]
    survivors = [limit for life in lives if life > limit]
    ages, ended = [*failures, *survivors], [1] * len(failures) + [0] * len(survivors)
    fitter = lifelines.WeibullFitter().fit(ages, ended)

    # That optimiser stops early; one step of a polish from its answer finds the maximum itself.
    def slope(shape):
        powers = np.array(ages) ** shape
        mean_log = np.sum(powers * np.log(ages)) / np.sum(powers)
        return mean_log - 1 / shape - np.mean(np.log(failures))

    shape = root(slope, fitter.rho_ * 0.8, fitter.rho_ * 1.25)
    scale = (np.sum(np.array(ages) ** shape) / len(failures)) ** (1 / shape)
    life = stats.weibull_min(shape, scale=scale)
    allowed, share = one_of(0.05, 0.1, 0.2), one_of(0.8, 0.9, 0.95)
    survived, horizon = float(f"{limit / 2:.4g}"), between(10, 300)
    low, high = weibull_interval(
        np.array(failures), np.array(survivors), allowed, share, life.ppf(allowed)
    )
    table = lifelines.KaplanMeierFitter().fit(ages, ended)
    distinct = sorted(set(failures))
    checks = {
        "shape": Near(shape, 1e-7),
        "scale_h": Near(scale, 1e-7),
        "mean_life_h": Near(life.mean(), 1e-7),
        "b10_life_h": Near(life.ppf(0.1), 1e-7),
        "next_due_h": Near(life.ppf(allowed), 1e-7),
        "next_due_low_h": Near(low, 1e-4),
        "next_due_high_h": Near(high, 1e-4),
        "failure_probability": Near(
            1 - life.sf(survived + horizon) / life.sf(survived), 1e-6, 1e-12
        ),
        f"survival_rows.{len(distinct)}": Same(None),
    }
    for index, age in enumerate(distinct):
        at = f"survival_rows.{index}.survival_fraction"
        checks[at] = Near(table.survival_function_at_times(age).iloc[0], within=1e-10)
    # The fit of the library itself, to the digits that its optimiser gives.
    checks["scale_h"] = Near(scale, 1e-7) if abs(fitter.lambda_ / scale - 1) < 1e-3 else Same("?")
    yield (
        {
            "failure_times_h": failures,
            "still_running_times_h": survivors,
            "allowed_failure_fraction": allowed,
            "confidence_fraction": share,
            "survived_time_h": survived,
            "horizon_h": horizon,
        },
        checks,
    )


def few_that_ended():
    lives = random_lives(whole(2, 5))
    failures, survivors = lives[:-1][:4], lives[-1:]
    allowed = one_of(0.05, 0.1, 0.2)
    yield (
        {
            "failure_times_h": failures,
            "still_running_times_h": survivors,
            "allowed_failure_fraction": allowed,
        },
        {"next_due_h": Near(few_failures_due(failures, survivors, allowed), 1e-4)},
    )


def mended_machine():
    count, watched = whole(5, 20), between(500, 5000, 4)
    times = sorted(
        round(watched * random_numbers.random() ** one_of(0.7, 1.0, 1.6) * 0.99 + 1, 1)
        for _ in range(count)
    )
    if times[-1] >= watched:
        return

    # Plain maximum likelihood of the power law by a general minimiser, then the handbook's factor.
    def loss(unknown):
        a, b = np.exp(unknown)
        return a * watched**b - np.sum(np.log(a * b) + (b - 1) * np.log(times))

    start = [math.log(count / watched), 0.0]
    best = optimize.minimize(
        loss,
        start,
        method="Nelder-Mead",
        options={"xatol": 1e-11, "fatol": 1e-11, "maxiter": 10000},
    )
    plain_b = math.exp(best.x[1])
    exponent = plain_b * (count - 1) / count
    uneven = stats.gamma(count).sf(count / plain_b)
    horizon = between(10, 300)

    def rate(t):
        return count / watched**exponent * exponent * t ** (exponent - 1)

    expected = integrate.quad(rate, watched, watched + horizon)[0]
    yield (
        {"repair_times_h": times, "watched_time_h": watched, "horizon_h": horizon},
        {
            "plain_mean_life_h": Near(watched / (count * plain_b), 1e-5),
            "growth_exponent": Near(exponent, 1e-5),
            "mean_life_h": Near(1 / rate(watched), 1e-5),
            "steady_rate_probability": Near(min(1, 2 * min(uneven, 1 - uneven)), 1e-3, 1e-6),
            "failure_probability": Near(-math.expm1(-expected), 1e-5),
        },
    )


def bare_count():
    events, exposure, share = whole(1, 30), between(200, 20000), one_of(0.8, 0.9, 0.95)
    # Limits of the mean number of events, by the chance of seeing so few or so many.
    tail = (1 - share) / 2
    most = root(lambda m: tail - stats.poisson.cdf(events, m), 0, 1e3)
    least = root(lambda m: stats.poisson.sf(events - 1, m) - tail, 0, 1e3)
    yield (
        {"event_count": events, "exposure_h": exposure, "confidence_fraction": share},
        {
            "mean_life_h": Near(exposure / events),
            "mean_life_low_h": Near(exposure / most, 1e-7),
            "mean_life_high_h": Near(exposure / least, 1e-7),
        },
    )
