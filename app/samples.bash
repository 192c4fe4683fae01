# SPDX-License-Identifier: GPL-3.0-or-later
# What app/run does with the sample clips where there is no display.
# Sourced after app/setup.bash, with $root naming the repository, $program the program and $samples
# the folder of the clips.
# shellcheck shell=bash disable=SC2154

# Names of the sample clips that belong to a run, in the order of the list.
sample_runs() {
    sed -n 's/.*"file": *"\(.*-run-[0-9]*\.[a-z0-9]*\)".*/\1/p' "$root/samples/samples.json"
}

# The main job without a window: every run of the invented campaign as a table. A clip that fails
# does not keep the others from being measured; a signal (status above 128) does.
measure_samples() {
    local clip worst=0 status
    [[ -r $root/samples/samples.json ]] || give_up "$root/samples/samples.json is missing: nothing to measure."
    while IFS= read -r clip; do
        printf '\n== %s\n' "$clip"
        status=0
        "$program" measure "$samples/$clip" </dev/null || status=$?
        ((status < 128)) || return "$status"
        ((status == 0)) || worst=$status
    done < <(sample_runs)
    return "$worst"
}
