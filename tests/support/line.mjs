// Lines of equipment for tests, as bodies of PUT /api/v1/line: a sound one, and short
// words for changing it.

/** A sound line: suction, pump, filter, heater with bypass and valves, check valve,
 *  chlorine last. */
export function soundLine() {
  return {
    parts: [
      { id: 1, kind: "skimmer", name: "Skimmer" },
      { id: 2, kind: "pipe", size: "2", length_m: 6.5 },
      { id: 3, kind: "pump", name: "Pump", flow_l_per_s: 2.5 },
      { id: 4, kind: "filter", volume_l: 120 },
      { id: 5, kind: "tee" },
      { id: 6, kind: "two_way_valve" },
      { id: 7, kind: "flow_switch" },
      { id: 8, kind: "heater", name: "Heater", volume_l: 8, min_flow_l_per_s: 1.5,
        max_flow_l_per_s: 6, interlocked: true },
      { id: 9, kind: "two_way_valve" },
      { id: 10, kind: "bypass", size: "2", length_m: 1 },
      { id: 11, kind: "two_way_valve" },
      { id: 12, kind: "tee" },
      { id: 13, kind: "check_valve" },
      { id: 14, kind: "pipe", size: "2", length_m: 4 },
      { id: 15, kind: "chlorine_injection", interlocked: true, volume_l: 0.1,
        feed: { product: "sodium_hypochlorite", basis: "rate", rate_g_per_h: 18 } },
      { id: 16, kind: "return", name: "Returns" },
    ],
    edges: chain(1, 2, 3, 4, 5, 6, 7, 8, 9, 12, 13, 14, 15, 16)
      .concat(chain(5, 11, 10, 12)),
    positions: [
      { kind: "normal", set: [{ part: 11, to: "closed" }] },
      { kind: "heater_off_line", burner_may_fire: false,
        set: [{ part: 6, to: "closed" }, { part: 9, to: "closed" }] },
    ],
  };
}

/** Edges from each to the next. @param {number[]} ids */
export function chain(...ids) {
  return ids.slice(1).map((to, i) => ({ from: ids[i], to }));
}

/** The erosion feeder of docs/api.md before the heater: skimmer, pipe, pump, feeder,
 *  filter, heater, returns. */
export function feederFirst() {
  return {
    parts: [
      { id: 1, kind: "skimmer", name: "Skimmer" },
      { id: 2, kind: "pipe", name: "", material: "plastic", size: "2", length_m: 6.5 },
      { id: 3, kind: "pump", name: "Pump", flow_l_per_s: 2.5 },
      { id: 4, kind: "filter", name: "Filter", volume_l: 120 },
      { id: 5, kind: "heater", name: "Heater", volume_l: 8, min_flow_l_per_s: 1.5,
        max_flow_l_per_s: 6, interlocked: true },
      { id: 6, kind: "check_valve", name: "" },
      { id: 7, kind: "erosion_feeder", name: "Feeder", volume_l: 4,
        feed: { product: "trichlor", basis: "weighed", before_g: 1000, after_g: 820,
          interval_s: 36000, strength_percent: 90 } },
      { id: 8, kind: "return", name: "Returns" },
    ],
    edges: chain(1, 2, 3, 7, 4, 5, 6, 8),
    positions: [{ kind: "normal", burner_may_fire: true, flow_fraction: 1, set: [] }],
  };
}
