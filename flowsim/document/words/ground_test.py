"""Words of the ground test: its plan, its mark, what it teaches."""

WORDS = {
    "candidates.selector": "selector {position}",
    "candidates.tank_engine": "tank to engine",
    "candidates.level": "{label}, level",
    "candidates.test_attitude_least_take": "{label}, test attitude, least take-off fuel",
    "diagnose.slower_than_repeats_air": (
        "slower than its repeats: air in the line in that run (an air lock), the watch started "
        "before the flow was steady, the line's end held higher, or less fuel at the start"
    ),
    "diagnose.faster_than_repeats_line": (
        "faster than its repeats: the line's end hung lower, the container not full, the watch "
        "started late, or more fuel at the start"
    ),
    "diagnose.flow_falls_run_run": (
        "the flow falls from run to run: a vent that is blocked or too narrow, a screen that "
        "clogs, or a tank that was not filled up to the same quantity again"
    ),
    "diagnose.flow_rises_run_run": (
        "the flow rises from run to run: air that was swept out step by step, or more fuel at "
        "the start each time"
    ),
    "diagnose.slower_than_other_settings": (
        "slower than the other settings allow: an air lock or a blockage on the way that this "
        "setting uses, a smaller bore there than stated, a blocked vent, or less fuel or a "
        "higher line end than written"
    ),
    "diagnose.faster_than_other_settings": (
        "faster than the other settings allow: a larger bore there than stated, more fuel than "
        "written, or a line end that hung lower"
    ),
    "diagnose.every_setting_slower_than": (
        "Every setting is slower than predicted: a blockage, a smaller bore or a part that was "
        "left out on the way that all share, a container larger than stated, or a blocked vent."
    ),
    "diagnose.every_setting_faster_than": (
        "Every setting is faster than predicted: the losses on the way that all share are less "
        "than stated, the container is smaller than stated, or the line's end hung low in all of "
        "them."
    ),
    "diagnose.readings_different_settings_contradict": (
        "readings of different settings contradict each other; find the cause and repeat them, "
        "or write no under fit where a setting was spoilt"
    ),
    "diagnose.readings_need_values_more": (
        "the readings need values more than {beyond:.0f} deviations outside what the case "
        "states: the system differs from the case; find out how and correct the case"
    ),
    "diagnose.pushed_edge_what_stated": (
        "Pushed to the edge of what was stated, in deviations: {words:list}. Measure them, and "
        "look for a blockage or a wrong bore before trusting the correction."
    ),
    "drain_down.curve_says_nothing_vent": (
        "the curve says nothing of the vent of {names:and}: {why}"
    ),
    "drain_down.fewer_than_three_stretches": "fewer than three stretches were fitted",
    "drain_down.what_tank_holds_not": "what the tank holds is not known",
    "drain_down.no_head_left_end": "no head is left at the end",
    "drain_down.curve_says_nothing": "the curve says nothing of the vent of {who:and}",
    "drain_down.flow_falls_faster_than": (
        "the flow falls faster than the level explains, by {suction:length.0} +- "
        "{deviation:length.0} of head at the end: the vent of {who:and} closes or is too narrow, "
        "or a screen clogs; open the cap and drain again to tell which"
    ),
    "drain_down.end_took_most_head": (
        "by the end it took at most {most:length.0} of the {head:length.0} of head there"
    ),
    "drain_down.vent_not_shut_shut": (
        "the vent of {who:and} is not shut: a shut one would have stopped the flow after "
        "{stops:volume.1}, and {total:volume.1} came; {bound}"
    ),
    "drain_down.shut_vent_would_not": (
        "a shut vent of {who:and} would not have stopped this run, so it proves little; {bound}"
    ),
    "learn.drain_down_falls_off": (
        "a drain-down falls off faster than its level explains: find the vent or the screen that "
        "does it, and drain again"
    ),
    "learn.corrected_case_would_promise": (
        "the corrected case would promise more than the test gave; find the cause, and test again"
    ),
    "learn.but_readings_do_not": (
        "but the readings do not fit the case or each other, so that is not shown"
    ),
    "learn.run_not_fitted": "run {run} is not fitted: {why}",
    "learn.run_misses_mark_not": "run {run} misses the mark and is not fitted: {left_out}",
    "learn.file_says": "the file says so",
    "learn.model_gives_no_time": "the model gives no time for it",
    "learn.repeats_agree_each_other": (
        "its repeats agree with each other and not with it (it counts for the mark all the same)"
    ),
    "mark.no_run_counts_mark": "no run counts for the mark: it is neither met nor missed",
    "mark.least_flow_required_run": (
        "least flow {ratio:share} % of the required (run {run}): {words}"
    ),
    "mark.mark_missed": "the mark is missed",
    "mark.mark_met_but_less": (
        "the mark is met, but by less than the reading's own error, so that is not shown; weigh "
        "the fuel, or draw more in a run"
    ),
    "mark.these_runs_meet_mark": (
        "these runs meet the mark, but runs are missing, so that is not shown"
    ),
    "mark.mark_met": "the mark is met",
    "mark.selector_position_not_meant": "its selector position is not meant for take-off and climb",
    "mark.not_made_test_attitude": "not made at the test attitude",
    "mark.wings_were_not_level": "the wings were not level, which lifts a tank",
    "mark.line_end_hung_below": "the line's end hung below the carburettor inlet, which adds head",
    "mark.more_fuel_than_test": "more fuel than the test quantity",
    "mark.system": "the system",
    "mark.selector": 'selector "{position}"',
    "mark.not_tested": "{where} was not tested {run}",
    "needed.test_attitude_test_quantity": "at the test attitude on the test quantity",
    "needed.test_attitude": "test attitude",
    "needed.test_attitude_with": "at the test attitude with {state}",
    "needed.test_attitude_state": "test attitude, {state}",
    "needed.deg_nose_up": "at {pitch:deg.1} deg nose-up",
    "needed.test_quantity_where_flow": "{where} on the test quantity, where the flow is least",
    "needed.where_flow_least": "{where}, where the flow is least",
    "plan.part_test": "part of the test",
    "plan.not_needed_mark_only": "not needed for the mark, only to learn from",
    "plan.deciding_answer_has_no": (
        "{why}; the deciding answer has no spread that a run could narrow"
    ),
    "plan.some_draws_container_never": (
        "{why}; in some draws the container never fills, so no time can be expected of it"
    ),
    "plan.tells_next_nothing_after": (
        "{why}; tells next to nothing after those above ({alone:percent.0} % of the variance by "
        "itself)"
    ),
    "plan.takes_away_variance_deciding": (
        "{why}; takes away {gain:percent.0} % of the variance of the deciding answer after those "
        "above ({alone:percent.0} % by itself)"
    ),
    "plan.mostly_through": ", mostly through {names:and}",
    "candidates.needed": "{label}, {run}",
    "candidates.level_raised": "{label}, level, line end {raised:length.0} above the inlet",
    "diagnose.moved": "{name} ({score:+.1f})",
    "learn.met_and_unfit": "{mark}, {unfit}",
    "mark.run_does_not_count": "run {runs:list} does not count for the mark: {reason}",
    "mark.runs_do_not_count": "runs {runs:list} do not count for the mark: {reason}",
    "mark.without_run": (
        "Without run {names:list}, contradicted by repeats: {rest}. It counts all the same: find "
        "the cause, and judge by repeated runs"
    ),
    "mark.without_runs": (
        "Without runs {names:list}, contradicted by repeats: {rest}. It counts all the same: "
        "find the cause, and judge by repeated runs"
    ),
    "needed.level": "level",
    "plan_drain.stands_for_buckets": (
        "It takes away {share:percent.0} % of the variance of the deciding answer, the "
        "{buckets:d} bucket runs {selector} {other:percent.0} %: to learn from, one drain-down "
        "stands for them. For the mark it counts as one run, by its slowest stretch on the test "
        "quantity or less; make three"
    ),
    "plan_drain.stands_for_none": (
        "It takes away {share:percent.0} % of the variance of the deciding answer, the "
        "{buckets:d} bucket runs {selector} {other:percent.0} %: it does not stand for them; "
        "make the buckets, and drain down besides"
    ),
    "mark.once": "once",
    "mark.times": "{count:d} times",
    "mark.run": "{where} was run {times} {run}; at least {repeats:d} are wanted",
}
