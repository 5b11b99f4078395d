"""What general libraries say to questions about reels: clip, heights, rollers, wear and relief."""

import math

import numpy as np
import statsmodels.api as sm
from scipy import constants, integrate, optimize

from program import found, plain
from questions import Near, Same, between, one_of, random_numbers, root, whole

# The largest drop between the steps of a plan is worked out from the reply.
LARGEST_DROP = "largest_drop"


def largest_drop(reply, request):
    heights = [request["current_height_mm"], *found(reply, "step_heights_mm")]
    return max(before - after for before, after in zip(heights, heights[1:]))


def clip_spacing():
    v, z, n = between(0.3, 4), whole(3, 20), between(300, 3500)
    height = between(2, 40)
    # The time from one blade to the next, and the way made in it.
    clip = integrate.quad(lambda _: v, 0, 60 / (z * n))[0] * 1000
    yield (
        {"ground_speed_mps": v, "blade_count": z, "reel_speed_rpm": n, "height_of_cut_mm": height},
        {
            "clip_spacing_mm": Near(clip),
            "contact_rate_hz": Near(z * n / constants.minute),
            "clip_to_height_ratio": Near(clip / height),
            "leaf_length_spread_mm": Near(np.hypot(height, clip) - height, 1e-6),
        },
    )
    wanted = float(f"{clip:.6g}")
    speed = root(lambda speed: 60000 * speed / (z * n) - wanted, 1e-6, 15)
    yield (
        {"clip_spacing_mm": wanted, "blade_count": z, "reel_speed_rpm": n},
        {"ground_speed_mps": Near(speed)},
    )
    rpm = root(lambda rpm: wanted - 60000 * v / (z * rpm), 1, 1e5)
    if rpm <= 10000:
        yield (
            {"clip_spacing_mm": wanted, "blade_count": z, "ground_speed_mps": v},
            {"reel_speed_rpm": Near(rpm)},
        )


def height_belief(height, offsets, weight, share):
    """Mean and half interval of the offset, by numerical integration over mean and scatter."""
    reading_sd, area_sd, shop_sd = (
        max(0.15, 0.02 * height),
        max(0.3, 0.03 * height),
        max(1.0, 0.1 * height),
    )
    prior_degrees = 4.0
    prior_weight = reading_sd**2 / (area_sd**2 + shop_sd**2)
    x = np.asarray(offsets)
    # The posterior is much narrower than this window, and the grid much finer than the posterior.
    middle = x.mean()
    wide = 60 * (reading_sd + x.std() + abs(middle)) / math.sqrt(len(x) * weight + prior_weight)
    mu = np.linspace(middle - wide, middle + wide, 24001)
    log_sd = np.linspace(math.log(reading_sd) - 6, math.log(reading_sd + wide) + 6, 700)
    density = np.zeros_like(mu)
    for ln in log_sd:
        variance = math.exp(2 * ln)
        # Scaled inverse chi-square prior of the variance, in the logarithm of the deviation.
        log_prior = -prior_degrees * ln - prior_degrees * reading_sd**2 / (2 * variance)
        log_mean = 0.5 * math.log(prior_weight / variance) - prior_weight * mu**2 / (2 * variance)
        squares = ((x[:, None] - mu) ** 2).sum(axis=0)
        log_like = -weight * (len(x) * ln + squares / (2 * variance))
        density += np.exp(log_prior + log_mean + log_like)
    below = integrate.cumulative_trapezoid(density, mu, initial=0)
    below /= below[-1]
    tail = (1 - share) / 2
    mean = integrate.trapezoid(density * mu, mu) / integrate.trapezoid(density, mu)
    return mean, np.interp([tail, 1 - tail], below, mu)


def height_question():
    bench = between(2.5, 30)
    readings = [
        round(bench + between(-1, 0.4) * 0.3 + random_numbers.gauss(0, 0.1), 3)
        for _ in range(whole(2, 7))
    ]
    age = one_of(0.0, 30.0, 60.0)
    share = one_of(0.8, 0.9, 0.95)
    question = {
        "reading_bench_height_mm": bench,
        "effective_height_readings_mm": readings,
        "reading_age_days": age,
        "confidence_fraction": share,
    }
    return bench, question, [reading - bench for reading in readings], 0.5 ** (age / 60), share


def bench_height():
    bench, question, offsets, weight, share = height_question()
    target = float(f"{bench:.4g}")
    mean, (low, high) = height_belief(target, offsets, weight, share)
    yield (
        {"target_effective_height_mm": target, **question},
        {
            "offset_mm": Near(mean, within=2e-4),
            "offset_low_mm": Near(low, within=2e-3),
            "offset_high_mm": Near(high, within=2e-3),
            "bench_height_mm": Near(target - mean, within=2e-4),
        },
    )


def effective_height():
    bench, question, offsets, weight, share = height_question()
    mean, (low, high) = height_belief(bench, offsets, weight, share)
    yield (
        {"bench_height_mm": bench, **question},
        {
            "offset_mm": Near(mean, within=2e-4),
            "effective_height_mm": Near(bench + mean, within=2e-4),
            "effective_height_low_mm": Near(bench + low, within=2e-3),
            "effective_height_high_mm": Near(bench + high, within=2e-3),
        },
    )


def sink(load, width, diameter, n):
    """Sinkage of a rigid wheel in ground of unit stiffness: where the ground carries its load."""

    def carried(z):
        return width * (3 - n) / 3 * math.sqrt(diameter) * z ** (n + 0.5)

    return root(lambda z: carried(z) - load, 0, 1e9)


def sinkage_change():
    n = between(0.2, 1.2, 3)
    load, width, diameter = between(10, 60), between(400, 900), between(40, 90)
    new_load, new_width, new_diameter = (
        float(f"{old * between(0.7, 1.4):.5g}") for old in (load, width, diameter)
    )
    now = between(0.3, 3)
    ratio = sink(new_load, new_width, new_diameter, n) / sink(load, width, diameter, n)
    both = {
        "roller_load_kg": load,
        "roller_width_mm": width,
        "roller_diameter_mm": diameter,
        "new_roller_width_mm": new_width,
        "new_roller_diameter_mm": new_diameter,
        "sinkage_exponent": n,
        "sinkage_mm": now,
    }
    yield (
        {**both, "new_roller_load_kg": new_load},
        {"sinkage_ratio": Near(ratio, 1e-8), "new_sinkage_mm": Near(now * ratio, 1e-8)},
    )
    wanted = float(f"{now * between(0.8, 1.2):.5g}")
    solved = root(
        lambda new: (
            sink(new, new_width, new_diameter, n) / sink(load, width, diameter, n) - wanted / now
        ),
        load / 100,
        load * 100,
    )
    yield {**both, "new_sinkage_mm": wanted}, {"new_roller_load_kg": Near(solved, 1e-7)}


def adjuster_turns():
    front, rear = between(22, 45), between(18, 40)
    length = between(150, 320)
    edge = round(length * between(0.35, 0.65), 3)
    height, slot, pitch = between(3, 15), round(between(-20, 20), 2), one_of(1.0, 1.25, 1.5)
    target = float(f"{height + between(-1, 2) * 0.6:.5g}")
    tilt = math.radians(slot)

    def misses(unknown):
        """Two conditions: the front roller stands on the ground, and the edge has its height."""
        pitch_angle, travel = unknown
        down = np.array([-math.sin(pitch_angle), math.cos(pitch_angle)])
        lift = travel * math.cos(tilt)
        centre = np.array([length + travel * math.sin(tilt), front - rear + lift])
        cutting = np.array([edge, height - rear])
        return [rear + down @ centre - front, rear + down @ cutting - target]

    (pitch_angle, travel), _, good, _ = optimize.fsolve(
        misses, [0.0, 0.0], xtol=1e-14, full_output=True
    )
    if good != 1:
        return
    yield (
        {
            "current_height_mm": height,
            "target_height_mm": target,
            "thread_pitch_mm": pitch,
            "front_roller_diameter_mm": 2 * front,
            "rear_roller_diameter_mm": 2 * rear,
            "roller_centre_distance_mm": length,
            "edge_to_rear_roller_mm": edge,
            "slot_angle_deg": slot,
        },
        {
            "turns_count": Near(-travel / pitch, 1e-6, 1e-8),
            "roller_travel_mm": Near(travel, 1e-6, 1e-8),
            "attitude_change_deg": Near(math.degrees(pitch_angle), 1e-6, 1e-9),
        },
    )
    per_turn, change = between(0.1, 1), round(between(-1, 1), 4)
    yield (
        {"height_change_per_turn_mm": per_turn, "height_change_mm": change},
        {"turns_count": Near(change / per_turn, within=1e-12)},
    )


def paper_map():
    blades, stations = whole(3, 8), one_of(3, 5)
    along = np.linspace(-1, 1, stations)
    names = ["left", "middle", "right"] if stations == 3 else [f"s{i + 1}" for i in range(5)]
    rows, gaps, question = [], [], {}
    tilt, bow = between(-0.03, 0.03), between(-0.02, 0.02)
    for blade in range(blades):
        error = random_numbers.gauss(0, 0.01)
        for name, x in zip(names, along):
            gap = 0.12 + tilt * x + bow * x * x + error + random_numbers.gauss(0, 0.003)
            gap = round(max(gap, 0.0), 4)
            question[f"blade_{blade + 1}:{name}"] = plain(gap)
            effects = np.zeros(blades - 1)
            effects[:] = -1 if blade == blades - 1 else 0
            if blade < blades - 1:
                effects[blade] = 1
            rows.append([1, x, x * x, *effects])
            gaps.append(gap)
    fitted = sm.OLS(np.array(gaps), np.array(rows)).fit()
    sums = np.vstack([np.eye(blades - 1), -np.ones(blades - 1)])
    picks = np.hstack([np.zeros((blades, 3)), sums])
    effects = fitted.t_test(picks)
    errors = effects.effect - np.median(effects.effect)
    checks = {
        "mean_gap_mm": Near(np.mean(np.array(rows)[:, :3] @ fitted.params[:3]), within=1e-10),
        "tilt_mm": Near(2 * fitted.params[1], within=1e-10),
        "tilt_standard_error_mm": Near(2 * fitted.bse[1], 1e-7),
        "bow_mm": Near(-fitted.params[2], within=1e-10),
        "bow_standard_error_mm": Near(fitted.bse[2], 1e-7),
        "residual_sd_mm": Near(math.sqrt(fitted.mse_resid), 1e-7),
        "degrees_of_freedom": Near(fitted.df_resid),
    }
    for blade in range(blades):
        at = f"blade_error_mm.{blade}"
        checks[f"{at}.error_mm"] = Near(errors[blade], within=1e-10)
        checks[f"{at}.standard_error_mm"] = Near(np.ravel(effects.sd)[blade], 1e-7)
    yield {"gap_mm": question}, checks


def match_units():
    target, tolerance = between(3, 15, 3), round(between(0.03, 0.1), 3)
    question, heights = {}, []
    for unit in range(1, whole(2, 6)):
        for end in ("left", "right"):
            height = round(target + random_numbers.gauss(0, 0.08), 3)
            question[f"{unit}:{end}"] = plain(height)
            heights.append(height)
    heights = np.array(heights)
    # A height right at the tolerance may fall on either side in the last digit of a double.
    if np.any(np.abs(np.abs(heights - target) - tolerance) < 1e-6):
        return
    outside = [height for height in heights if abs(height - target) > tolerance]
    checks = {
        "mean_height_mm": Near(heights.mean()),
        "spread_mm": Near(np.ptp(heights), within=1e-12),
        f"end_moves_mm.{len(outside)}": Same(None),
    }
    for index, height in enumerate(outside):
        checks[f"end_moves_mm.{index}.move_mm"] = Near(target - height, within=1e-12)
    for unit in range(len(heights) // 2):
        left, right = heights[2 * unit], heights[2 * unit + 1]
        checks[f"units.{unit}.mean_height_mm"] = Near((left + right) / 2)
        checks[f"units.{unit}.slope_mm"] = Near(right - left, within=1e-12)
    rest = {"unit_heights_mm": question, "tolerance_mm": tolerance}
    yield {**rest, "target_height_mm": target}, checks
    # No target: no height anywhere leaves more ends unmoved than the one found.
    candidates = (heights[:, None] + heights) / 2
    unmoved = np.abs(heights[:, None] - candidates.ravel()) <= tolerance + 1e-9
    most = int(unmoved.sum(axis=0).max())
    yield rest, {f"end_moves_mm.{len(heights) - most}": Same(None)}


def height_plan():
    current = between(40, 110)
    target = float(f"{current * between(0.35, 0.9):.4g}")
    interval, growth = one_of(1.0, 2.0, 3.0), one_of(0.0, round(between(0.2, 2.0), 2))
    fraction, limit = 1 / 3, one_of(None, round(between(3, 15), 1))

    def least_largest_drop(count):
        """The largest drop of the steps h_1 ... h_count in which it is least; None if none are."""
        cost = np.r_[np.zeros(count), 1.0]
        upper, room = [], []
        for i in range(count):
            standing = np.zeros(count + 1)
            standing[i] = -1
            if i > 0:
                standing[i - 1] = 1 - fraction
            start = current if i == 0 else growth * interval
            upper.append(standing)
            room.append(-(1 - fraction) * start)
            drop = np.zeros(count + 1)
            drop[i], drop[-1] = -1, -1
            if i > 0:
                drop[i - 1] = 1
            upper.append(drop)
            room.append(-current if i == 0 else 0)
        most = limit if limit is not None else current
        last = np.r_[np.zeros(count - 1), 1.0, 0.0]
        solved = optimize.linprog(
            cost, upper, room, [last], [target], [(0, current)] * count + [(0, most)]
        )
        return solved.fun if solved.success else None

    counts = ((count, least_largest_drop(count)) for count in range(1, 60))
    fewest = next(((count, drop) for count, drop in counts if drop is not None), None)
    question = {
        "current_height_mm": current,
        "target_height_mm": target,
        "mowing_interval_days": interval,
    }
    if growth:
        question["growth_mm_per_day"] = growth
    if limit is not None:
        question["step_limit_mm"] = limit
    if fewest is None:
        yield question, {"earliest_day": Same(None), "reaches_target_in_time": Same(False)}
        return
    count, drop = fewest
    # A target just inside or outside one more step may count either way in the last digits.
    if target < 6.5 or count > 40:
        return
    yield (
        question,
        {
            "earliest_day": Near((count - 1) * interval, within=1e-9),
            f"step_heights_mm.{count}": Same(None),
            f"step_heights_mm.{count - 1}": Near(target, within=1e-6),
            "lowest_next_height_mm": Near((1 - fraction) * current),
            "mow_before_height_mm": Near(target / (1 - fraction)),
            LARGEST_DROP: Near(drop, within=1e-5),
        },
    )


def reel_wear():
    start, rate = between(110, 180), between(0.001, 0.006)
    count, grind = whole(4, 9), one_of(False, True)
    hours = np.cumsum([0, *[whole(60, 200) for _ in range(count - 1)]]).astype(float)
    grindings = [float(hours[i] + 10) for i in (1, count - 2)] if grind else []
    ground = np.array([sum(at <= hour for at in grindings) for hour in hours], dtype=float)
    loss = between(0.2, 0.6)
    noise = np.array([random_numbers.gauss(0, 0.01) for _ in hours])
    diameters = np.round(start - rate * hours - loss * ground + noise, 3)
    if grind and ground[-1] == 0:
        return
    since = hours - hours[-1]
    columns = [np.ones(count), since] + ([ground - ground[-1]] if grind else [])
    design = np.column_stack(columns)
    fitted = sm.OLS(diameters, design).fit()
    minimum = float(f"{diameters[-1] - between(2, 6):.5g}")
    share = one_of(0.8, 0.9)
    per_hour = len(grindings) / (hours[-1] - hours[0])

    def line(hour, side):
        row = [[1.0, hour, *([per_hour * hour] if grind else [])]]
        seen = fitted.get_prediction(row).summary_frame(alpha=1 - share)
        return float(seen[side].iloc[0]) - minimum

    checks = {
        "wear_rate_mm_per_h": Near(-fitted.params[1], 1e-6),
        "wear_rate_standard_error_mm_per_h": Near(fitted.bse[1], 1e-6),
        "residual_sd_mm": Near(math.sqrt(fitted.mse_resid), 1e-6),
        "degrees_of_freedom": Near(fitted.df_resid),
    }
    if grind:
        checks["grinding_loss_mm"] = Near(-fitted.params[2], 1e-6)
    for field, side in [
        ("remaining_life_h", "mean"),
        ("remaining_life_low_h", "obs_ci_lower"),
        ("remaining_life_high_h", "obs_ci_upper"),
    ]:
        far = 1e5
        if line(0.0, side) > 0 and line(far, side) < 0:
            checks[field] = Near(root(lambda hour: line(hour, side), 0, far), 1e-6)
    question = {
        "diameter_readings_mm": list(diameters),
        "reading_times_h": list(hours),
        "minimum_diameter_mm": minimum,
        "confidence_fraction": share,
    }
    if grind:
        question["grinding_times_h"] = grindings
    yield question, checks


def relief_grind():
    diameter, angle = between(80, 200), between(8, 45)
    offset = math.sin(math.radians(angle)) * diameter / 2
    yield (
        {"reel_diameter_mm": diameter, "relief_angle_deg": angle},
        {"finger_offset_mm": Near(offset)},
    )
    given = float(f"{offset:.6g}")
    solved = root(lambda a: diameter / 2 * math.sin(math.radians(a)) - given, 0, 90)
    if 5 <= solved <= 50:
        yield (
            {"reel_diameter_mm": diameter, "finger_offset_mm": given},
            {"relief_angle_deg": Near(solved, 1e-8)},
        )
