/*
 * The shapes that the API hands out, once for all pages. docs/api.md tells what each
 * member means. Nothing here runs.
 */

/**
 * @typedef {"run" | "hold" | "test"} Permit
 * @typedef {"in_line" | "off_line_flushed" | "off_line_standing" | "drained"} HeaterStateKey
 * @typedef {"us" | "si"} Units
 * @typedef {"common practice" | "manual" | "own" | "published"} LimitSource
 */

/**
 * @typedef {object} Site
 * @property {number} version 0 before the first save
 * @property {string} name
 * @property {number | null} latitude degrees, north positive
 * @property {number | null} longitude degrees, east positive
 * @property {string} zone IANA name
 * @property {Units} units
 * @property {boolean} ppm show ppm for mg/L
 * @property {boolean} decimal_comma
 * @property {boolean} set_up
 * @property {boolean} demo
 * @property {number} now UTC seconds by the daemon's clock
 * @property {number | null} first_value_at
 * @property {number | null} last_value_at
 */

/**
 * @typedef {object} Water
 * @property {number} id
 * @property {number} version
 * @property {string} etag
 * @property {string} name
 * @property {"pool" | "spa"} kind
 * @property {"chlorine" | "salt_chlorine" | "bromine" | "biguanide"} sanitiser
 * @property {boolean} indoor
 * @property {boolean} winter_closed
 * @property {boolean} no_cyanuric_acid
 * @property {string} lining
 * @property {string} cover
 * @property {string} fill
 * @property {number | null} volume_m3
 * @property {number | null} surface_m2
 * @property {number | null} depth_m
 * @property {number} shade_percent
 * @property {number} cloud_percent
 * @property {"unknown" | "night" | "day"} cover_use
 */

/**
 * @typedef {object} Limit
 * @property {number} value
 * @property {LimitSource} source
 */

/**
 * @typedef {object} Heater
 * @property {number} id
 * @property {number} version
 * @property {string} etag
 * @property {string} name
 * @property {number[]} waters
 * @property {string} fuel
 * @property {string} metal
 * @property {"none" | "full" | "part_open"} bypass
 * @property {number | null} bypass_usual_percent
 * @property {number | null} input_w
 * @property {number | null} efficiency_percent
 * @property {number | null} flow_m3_per_h
 * @property {number | null} film_rise_k
 * @property {Record<string, Limit | null>} limits
 */

/**
 * @typedef {object} Reason
 * @property {string} rule
 * @property {Permit} permit
 * @property {string | null} [quantity]
 * @property {number | null} [value]
 * @property {string} [unit]
 * @property {number | null} [limit]
 * @property {LimitSource | null} [limit_source]
 * @property {number | null} [age_s]
 * @property {string} text
 * @property {string | null} [next]
 */

/**
 * @typedef {object} Caution
 * @property {string} rule
 * @property {string | null} [quantity]
 * @property {string} text
 * @property {string | null} [next]
 */

/**
 * @typedef {object} KnownValue
 * @property {string} quantity
 * @property {string} words
 * @property {string} unit
 * @property {number | null} value null: never tested
 * @property {number | null} at
 * @property {string} [method]
 * @property {boolean} [over_range]
 * @property {boolean} [diluted]
 * @property {boolean} decides
 * @property {number | null} low
 * @property {number | null} high
 * @property {boolean} high_is_limit
 */

/**
 * @typedef {object} PermitAnswer
 * @property {number} heater
 * @property {number} water
 * @property {number} at
 * @property {Permit} permit
 * @property {number | null} good_until
 * @property {number} valid_for_s
 * @property {string} headline
 * @property {{permit: Permit, reasons: Reason[]}} water_side
 * @property {{permit: Permit, reasons: Reason[]}} burner_side
 * @property {Caution[]} cautions
 * @property {{earliest: number, latest: number} | null} likely_back
 * @property {string | null} [back_unknown]
 * @property {{state: HeaterStateKey, bypass_percent_open?: number | null,
 *   since: number | null, id?: number | null}} heater_state
 * @property {KnownValue[]} values
 * @property {string[]} next
 */

/**
 * @typedef {object} Fact
 * @property {number} id
 * @property {number} at
 * @property {number} recorded_at
 * @property {string} by
 * @property {string} note
 * @property {string} reason
 * @property {number | null} supersedes
 * @property {number | null} superseded_by
 * @property {boolean} withdrawn
 * @property {number | null} batch
 * @property {string} etag
 */

/**
 * @typedef {object} Detail
 * @property {string} [method]
 * @property {number | null} [resolution]
 * @property {boolean} [over_range]
 * @property {boolean} [diluted]
 * @property {boolean} [confirmed]
 * @property {boolean} [day_only]
 */

/**
 * @typedef {Fact & {water: number, method: string, values: Record<string, number>,
 *   details?: Record<string, Detail>}} Reading
 * @typedef {Fact & {water: number, product: string, amount: number,
 *   strength_percent: number | null, entry: string,
 *   super_chlorination: boolean}} Dose
 * @typedef {Fact & {heater: number, state: HeaterStateKey,
 *   bypass_percent_open: number | null}} HeaterState
 * @typedef {Fact & {water: number, machine: "pump" | "burner", heater: number | null,
 *   origin: "logged" | "schedule" | "instrument", ended_at: number}} Run
 */

/**
 * @typedef {object} Quantity
 * @property {string} key
 * @property {string} words
 * @property {string} unit
 * @property {[number, number]} possible
 * @property {[number, number]} plausible
 * @property {Record<string, number>} resolution
 */

/**
 * @typedef {object} Product
 * @property {string} key
 * @property {string} words
 * @property {boolean} liquid
 * @property {string} kind "sanitiser", "acid" or "other"
 * @property {number | null} strength_percent
 */

/**
 * @typedef {object} SeriesColumn
 * @property {number} step_s
 * @property {number} facts
 * @property {number[]} time_s
 * @property {(number | null)[]} value
 */

/**
 * @typedef {object} SeriesAnswer
 * @property {number} water
 * @property {number} from
 * @property {number} until
 * @property {Record<string, SeriesColumn>} series
 */

/**
 * @typedef {object} ImportLine
 * @property {number} line
 * @property {string} verdict
 * @property {string} [code]
 * @property {string} [field]
 * @property {string} [detail]
 * @property {string} [text]
 */

/**
 * @typedef {object} ImportColumn
 * @property {string} header
 * @property {string | null} as
 * @property {string} unit "" where the heading says none
 * @property {string[]} units that it may be taken in
 */

/**
 * @typedef {object} ImportPreview
 * @property {number} line
 * @property {string} verdict
 * @property {string | null} code
 * @property {string} detail
 * @property {number | null} at
 * @property {string} method
 * @property {string} by
 * @property {string} note
 * @property {Record<string, number>} values
 * @property {string} text
 */

/**
 * @typedef {object} ImportReport
 * @property {boolean} dry_run
 * @property {number} rows
 * @property {number} take
 * @property {number} already_there
 * @property {number} refused
 * @property {number} [doubtful]
 * @property {number | null} batch
 * @property {{separator: string, decimal: string, dates: string, zone: string,
 *   bom: boolean, dates_guessed: boolean}} dialect
 * @property {ImportColumn[]} columns
 * @property {ImportLine[]} lines
 * @property {ImportPreview[]} [preview] of a dry run
 */

/**
 * @typedef {object} ClockAnswer
 * @property {number} now
 * @property {boolean} synchronised
 * @property {number} jump_s
 * @property {number | null} jumped_at
 * @property {boolean} behind_newest_fact
 */

/**
 * @typedef {object} Fault
 * @property {string} code
 * @property {string} field
 * @property {string} detail
 */

/**
 * @typedef {object} ProblemBody
 * @property {string} [type]
 * @property {string} [title]
 * @property {number} [status]
 * @property {string} [detail]
 * @property {string} [code]
 * @property {string} [field]
 * @property {Fault[]} [errors]
 * @property {any} [current] what stands now, with 412
 * @property {{fold: "first" | "second", at: number, offset_s: number}[]} [choices]
 * @property {ImportReport} [report]
 */

/**
 * @typedef {object} SuperStep
 * @property {string} key
 * @property {"planned" | "heater_off_line" | "dosed" | "coming_down"} phase
 * @property {string} text
 * @property {boolean} is_open
 * @property {number | null} ticked_at
 * @property {string | null} by
 */

/**
 * @typedef {object} SuperPlan
 * @property {number} id
 * @property {string} etag
 * @property {number} started_at
 * @property {string} by
 * @property {"planned" | "heater_off_line" | "dosed" | "coming_down" | "confirmed_back"
 *   | "abandoned"} state
 * @property {string} text
 * @property {SuperStep[]} steps
 * @property {{at: number, by: string, state: string, step: string, note: string}[]} events
 */

/**
 * @typedef {object} SuperProduct
 * @property {string} product
 * @property {string} words
 * @property {"mL" | "g"} unit
 * @property {number | null} strength_percent
 * @property {number | null} amount
 * @property {number | null} shed
 * @property {boolean} is_enough
 */

/**
 * @typedef {object} SuperProposal
 * @property {number | null} combined_chlorine_mg_per_l
 * @property {number | null} stoichiometric_mg_per_l
 * @property {number | null} trade_level_mg_per_l
 * @property {number | null} hocl_level_mg_per_l
 * @property {number | null} level_mg_per_l
 * @property {number | null} dose_mg_per_l
 * @property {string} why
 * @property {number | null} ph_spent
 * @property {number} pump_h
 * @property {SuperProduct[]} products
 * @property {string[]} warnings
 * @property {boolean} helps
 */

/** @typedef {{likely: (number | null)[], low: (number | null)[], high: (number | null)[]}} Band */

/**
 * @typedef {object} ReturnTimes
 * @property {number | null} earliest
 * @property {number | null} likely
 * @property {number | null} latest
 */

/**
 * @typedef {object} SuperAnswer
 * @property {number} at
 * @property {SuperPlan | null} plan
 * @property {string[]} test_first
 * @property {SuperProposal | null} proposal
 * @property {number | null} ceiling_mg_per_l
 * @property {ReturnTimes | null} return
 * @property {{code: string, text: string}[]} notes
 * @property {{time_s: number[], free_chlorine_mg_per_l: Band, ph: Band}} course
 * @property {{drop_mg_per_l: number | null, agents: {agent: string, words: string,
 *   low_g: number | null, high_g: number | null, field_g: number | null,
 *   first_g: number | null, alkalinity_loss_high_mg_per_l_caco3: number | null}[],
 *   rules: string[]} | null} neutraliser
 * @property {{ways: {key: string, text: string, remains: string, hours: number | null,
 *   weighted_h: number | null}[], least: string, weights: string} | null} without_bypass
 * @property {string[]} return_steps
 */

export {};

/**
 * @typedef {object} ShedItem
 * @property {number} id
 * @property {number} version
 * @property {string} etag
 * @property {string} name
 * @property {string} product
 * @property {"g" | "mL"} unit
 * @property {number} strength_percent
 * @property {number} amount_left
 * @property {number | null} bought_at
 * @property {number | null} opened_at
 * @property {{strength_percent: number, age_d: number, temp_c: number,
 *   temp_is_assumed: boolean} | null} aged
 * @property {number | null} stored_temp_c
 * @property {{kind: "scoop" | "jug" | "scale", size: number} | null} measure
 * @property {boolean} gone
 */

/**
 * @typedef {Record<string, number | null>} TreatmentState values by quantity, and
 *   saturation_pool, saturation_surface
 */

/**
 * @typedef {object} TreatmentStep
 * @property {"replace" | "dose" | "aerate" | "wait"} kind
 * @property {string} [product]
 * @property {number | null} [shed]
 * @property {{kind: "scoop" | "jug" | "scale", size: number, count: number} | null} [measure]
 * @property {number} [amount]
 * @property {"g" | "mL"} [unit]
 * @property {number} [strength_percent]
 * @property {number} [short_by]
 * @property {number} [fraction]
 * @property {number} [volume_m3]
 * @property {number} part
 * @property {number} part_count
 * @property {number} wait_h
 * @property {boolean} pump_on
 * @property {"off_line" | "in_line_burner_off"} heater
 * @property {boolean} other_place
 * @property {boolean} test_after
 * @property {string[]} cautions
 * @property {TreatmentState} before
 * @property {TreatmentState} after
 */

/**
 * @typedef {object} TreatmentValue
 * @property {string} quantity
 * @property {number | null} value
 * @property {number | null} at
 * @property {boolean} is_trial
 * @property {{low: number, high: number, source: string} | null} wanted
 * @property {number | null} [end]
 * @property {string} [outcome]
 */

/**
 * @typedef {{start: number | null, end: number | null, half_width: number | null}}
 *   SaturationSpan
 */

/**
 * @typedef {object} Treatment
 * @property {number} heater
 * @property {number} water
 * @property {number} at
 * @property {boolean} can_plan
 * @property {{quantity: string, why: "never_tested" | "old" | "after_dose"}[]} test_first
 * @property {boolean} volume_is_known
 * @property {TreatmentValue[]} values
 * @property {TreatmentStep[]} steps
 * @property {boolean} more_follows
 * @property {number} to_buy
 * @property {{fraction: number, volume_m3: number, is_least: boolean} | null} replace
 * @property {{pool: SaturationSpan, surface: SaturationSpan, surface_rise_k: number,
 *   surface_rise_source: string} | null} saturation
 * @property {{quantity: string, value: number, from: "none" | "dissolved_solids"}[]} assumed
 * @property {string[]} cautions
 */

/**
 * @typedef {object} WarmUpEnd one end of a plan's band
 * @property {boolean} in_time
 * @property {number} start_at
 * @property {number | null} reached_at
 * @property {number} firing_h
 * @property {number} fuel_mj
 * @property {number} fuel in the tariff's unit
 * @property {number | null} cost
 */

/**
 * @typedef {object} WarmUpWay the plan under one cover and wind
 * @property {"none" | "bubble" | "solid"} cover
 * @property {number} wind_m_per_s
 * @property {WarmUpEnd} likely
 * @property {WarmUpEnd} easy
 * @property {WarmUpEnd} hard
 */

/**
 * @typedef {object} WarmBy
 * @property {number} at
 * @property {number} by
 * @property {number} wanted_temp_c
 * @property {string[]} lacks
 * @property {string} unit
 * @property {string} currency
 * @property {WarmUpWay | null} plan
 * @property {WarmUpWay[]} beside
 * @property {{part: string, mean_w: number, share: number}[]} losses
 * @property {number} evaporation_l_per_h
 * @property {number | null} hold_fuel_per_day
 * @property {number | null} hold_cost_per_day
 * @property {{air_low_c: number, air_high_c: number, efficiency: number,
 *   efficiency_half_width: number, efficiency_is_measured: boolean, assumed: string[],
 *   out_of_range: boolean}} basis
 */

/**
 * @typedef {object} Tariff
 * @property {number} version
 * @property {string} etag
 * @property {string | null} unit
 * @property {number | null} price_per_unit
 * @property {number | null} mj_per_unit
 * @property {string} currency

/* ---- line ---- */

/**
 * @typedef {object} LineFeed
 * @property {string} basis
 * @property {string | null} [product]
 * @property {number | null} [rate_g_per_h]
 * @property {number | null} [current_a]
 * @property {number | null} [cell_count]
 * @property {number | null} [efficiency_fraction]
 * @property {number | null} [before_g]
 * @property {number | null} [after_g]
 * @property {number | null} [interval_s]
 * @property {number | null} [strength_percent]
 */

/**
 * @typedef {object} LinePart
 * @property {number} id
 * @property {string} kind
 * @property {string} name
 * @property {string | null} [material]
 * @property {string | null} [size]
 * @property {number | null} [length_m]
 * @property {number | null} [volume_l]
 * @property {number | null} [flow_l_per_s]
 * @property {number | null} [min_flow_l_per_s]
 * @property {number | null} [max_flow_l_per_s]
 * @property {boolean} [interlocked]
 * @property {LineFeed | null} [feed]
 */

/**
 * @typedef {object} LineEdge
 * @property {number} from
 * @property {number} to
 * @property {string} [from_port]
 * @property {string} [to_port]
 * @property {number | null} [share]
 */

/** @typedef {{parts: LinePart[], edges: LineEdge[]}} LineGraph */

/**
 * @typedef {object} LinePosition
 * @property {string} kind
 * @property {boolean} burner_may_fire
 * @property {number} flow_fraction
 * @property {{part: number, to: string}[]} set
 */

/**
 * @typedef {object} LineChange
 * @property {string} code
 * @property {number | null} after
 * @property {boolean} needs_check_valve
 * @property {string} text
 */

/**
 * @typedef {object} LineFault
 * @property {string} code
 * @property {"stop" | "risk" | "care"} severity
 * @property {"water" | "burner"} side
 * @property {number | null} part
 * @property {number | null} other
 * @property {string[]} positions
 * @property {number | null} value
 * @property {number | null} limit
 * @property {string} unit
 * @property {number[]} path
 * @property {string} text
 * @property {string} why
 * @property {LineChange} change
 */

/**
 * @typedef {object} LineFlowPart
 * @property {number} id
 * @property {number | null} flow_l_per_s
 * @property {number | null} volume_l
 * @property {number | null} velocity_m_per_s
 * @property {number | null} reynolds
 * @property {number | null} pressure_loss_pa
 * @property {number | null} copper_limit_m_per_s
 */

/**
 * @typedef {object} LineFed
 * @property {string} position
 * @property {boolean} computed
 * @property {number | null} heater_flow_l_per_s
 * @property {number | null} fed_g_per_h
 * @property {number | null} to_heater_g_per_h
 * @property {number | null} held_g_per_h
 * @property {number | null} added_mg_per_l
 * @property {number | null} chlorine_mg_per_l
 * @property {number | null} hocl_mg_per_l
 * @property {number | null} ph
 * @property {boolean} extrapolated
 * @property {number} unknown_feeders
 */

/**
 * @typedef {object} LineSlug
 * @property {number} peak_mg_per_l
 * @property {number} chlorine_g
 * @property {number | null} seconds
 * @property {number | null} ph
 * @property {boolean} saturated
 * @property {boolean} extrapolated
 */

/**
 * @typedef {object} LineStanding
 * @property {boolean} computed
 * @property {string} why_not
 * @property {string} position
 * @property {number} hours
 * @property {number | null} sources
 * @property {number | null} unknown_feeders
 * @property {number | null} standing_l
 * @property {number | null} heater_flow_l_per_s
 * @property {LineSlug | null} spread
 * @property {LineSlug | null} close
 * @property {number | null} flush_s
 * @property {boolean} stay_out
 */

/**
 * @typedef {object} LineAnswer
 * @property {boolean} all_is_well
 * @property {Permit} water_side
 * @property {Permit} burner_side
 * @property {LineFault[]} faults
 * @property {number} fault_total
 * @property {{code: string, part: number | null, path: number[], text: string}[]} notes
 * @property {number} note_total
 * @property {string} notes_method
 * @property {{code: string, text: string}[]} assumptions
 * @property {{at: number, ph: number, free_chlorine_mg_per_l: number,
 *   water_temp_c: number | null} | null} water
 * @property {{position: string, computed: boolean, parts: LineFlowPart[]}[]} flow
 * @property {LineFed[]} feed
 * @property {LineStanding | null} standing
 * @property {string[]} cautions
 */

/**
 * @typedef {object} StoredLine
 * @property {number} heater
 * @property {number} version
 * @property {LinePart[]} parts
 * @property {LineEdge[]} edges
 * @property {LinePosition[]} positions
 * @property {LineAnswer | null} answer
 */

/**
 * @typedef {object} WarmUpSaid what one warm-up says
 * @property {number} id
 * @property {number} at
 * @property {number} season
 * @property {"volume_m3" | "input_w" | null} lacks
 * @property {number | null} efficiency
 * @property {boolean} is_usable
 * @property {{code: string, field: string, text: string}[]} flaws
 */

/**
 * @typedef {object} Efficiency
 * @property {number | null} now
 * @property {{season: number, efficiency: number, low: number, high: number}[]} seasons
 * @property {{is_alarm: boolean, reason: string}} alarm
 * @property {{unit: string, currency: string, lost_fuel_per_year: number | null,
 *   lost_cost_per_year: number | null}} cost
 * @property {WarmUpSaid[]} warm_ups oldest first
 */

/**
 * @typedef {object} Metal
 * @property {"copper" | "iron"} metal
 * @property {"tests" | "volume_m3" | "sense" | null} lacks
 * @property {{before: {at: number}, after: {at: number}, assumed: string[],
 *   unexplained_g: number, u_unexplained_g: number, at_least_g: number,
 *   verdict: "unexplained" | "nothing_shown"} | null} balance
 * @property {string[]} signs
 */

/**
 * @typedef {"as_rated" | "under" | "over" | "above_physics"} CheckVerdict
 * @typedef {object} HeaterChecks
 * @property {{input_w: number, ratio: number, u_ratio: number,
 *   verdict: CheckVerdict} | null} meter
 * @property {{rise_k: number, expected_rise_k: number, verdict: CheckVerdict} | null} rise
 * @property {{margin_k: number, condenses: boolean, flue_test_at: number | null,
 *   dew_point_from: "given" | "flue_test" | "usual"} | null} condensing
 * @property {{fuel_loss_percent: number, wall_rise_k: number} | null} scale
 * @property {{last_run_at: number, runs: number, median_run_s: number,
 *   runs_per_h: number, is_short: boolean} | null} cycling
 */

/**
 * @typedef {object} CareTask
 * @property {number} id
 * @property {string} etag
 * @property {number} heater
 * @property {string} name
 * @property {boolean} stays the yearly cleaning and inspection
 * @property {Record<string, any>} timing
 * @property {number} soon_days
 * @property {boolean} waits_for_season
 * @property {string | null} moved_to
 * @property {boolean} ended
 * @property {{state: "nothing" | "later" | "due_soon" | "due" | "overdue",
 *   day: string | null, days_left: number | null, is_estimate: boolean,
 *   is_moved: boolean, burner_h_left: number | null}} due
 * @property {{visit: number, day: string, outcome: "done" | "skipped"} | null} last
 */

/**
 * @typedef {object} CareSeason
 * @property {boolean} year_round
 * @property {string} opens "05-01"
 * @property {string} closes
 * @property {"own" | "usual"} source
 * @property {boolean} is_open
 */

/**
 * @typedef {object} CareAnswer
 * @property {string} today
 * @property {boolean} hemisphere_is_assumed
 * @property {{due_soon: number, due: number, overdue: number}} counts
 * @property {{heater: number, name: string, burner_h: number,
 *   burner_h_per_day: number | null, season: CareSeason}[]} heaters
 * @property {CareTask[]} tasks
 */

/**
 * @typedef {Fact & {heater: number, task: number | null, kind: string,
 *   outcome: "done" | "skipped", technician: boolean, may_run: boolean | null,
 *   done_by: string, findings: string, cost: number | null, currency: string | null,
 *   next_on: string | null, checklist: Record<string, {result: string, note?: string,
 *   value?: number, unit?: string}>}} Visit
 */

/** @typedef {Fact & {heater: number, kind: string, rank: string}} Symptom */

/**
 * @typedef {object} SymptomKind
 * @property {string} kind
 * @property {string} name
 * @property {"look" | "stop" | "leave"} rank
 * @property {boolean} holds_burner
 * @property {string[]} causes
 * @property {string[]} checks
 * @property {string} stop
 */

/** @typedef {{value: number, u: number | null} | null} FlueValue */

/**
 * @typedef {Fact & {heater: number, technician: boolean, done_by: string,
 *   instrument: string, sampled: boolean, well_sampled: boolean, soot_seen: boolean,
 *   rollout_seen: boolean, found_safe: boolean | null, o2_percent: number | null,
 *   co_ppm: number | null, flue_temp_c: number | null, air_temp_c: number | null,
 *   manifold_pa: number | null, findings: {code: string, text: string}[],
 *   result: {values: Record<string, FlueValue>, loss_refusal: {code: string, text: string} | null,
 *     holds_burner: boolean} | null,
 *   change: {o2: string, co: string, stack: string} | null,
 *   manifold: {plate_pa: number, off_plate_percent: number} | null}} FlueTest
 */

/**
 * @typedef {object} FlueDrift
 * @property {number} false_alarm
 * @property {Record<string, {count: number, direction: string,
 *   slope_per_year: number | null, low_per_year: number | null,
 *   high_per_year: number | null}>} values
 */

/**
 * @typedef {object} FlueAnswer
 * @property {{name: string, is_own: boolean, ultimate_co2_percent: number} | null} fuel
 * @property {FlueTest[]} tests oldest first
 * @property {FlueDrift} drift
 * @property {string[]} notes
 */

/** @typedef {{likely: number, at_least: number, at_most: number}} ExposureHours */

/**
 * @typedef {object} RecordAnswer
 * @property {number} heater
 * @property {number} water
 * @property {number} from
 * @property {number} until
 * @property {number} made_at
 * @property {string} site
 * @property {{name: string, fuel: string, metal: string, bypass: string,
 *   input_w: number | null, plate: any}} installation
 * @property {{from: number, limits: Record<string, Limit | null>}[]} limits
 * @property {Visit[]} care
 * @property {{fuel: FlueAnswer["fuel"], tests: FlueTest[], drift: FlueDrift,
 *   notes: string[]}} flue
 * @property {Symptom[]} symptoms
 * @property {{at: number, of: string, image: string}[]} photos
 * @property {(Fact & {state: string})[]} heater_states
 * @property {{from: number, unknown_h: number, event_total: number,
 *   hours: {low_ph: ExposureHours, high_chlorine: ExposureHours, both: ExposureHours},
 *   events: {from: number, until: number, has_low_ph: boolean,
 *     has_high_chlorine: boolean, has_both: boolean, is_standing: boolean,
 *     is_severe: boolean, is_open: boolean, hours: number}[]}[]} exposures
 * @property {{id: number | null, from: number, until: number | null, state: string,
 *   by: string, off_line: {from: number, until: number | null, state: string}[]}[]}
 *   super_chlorinations
 * @property {{month: string, days: number, days_tested: number, days_in_band: number,
 *   percent: number | null}[]} in_band
 * @property {{by: string, what: string, count: number}[]} logged_by
 * @property {string[]} unknown
 * @property {Record<string, string>} [kinds] names of signs, added by the page
 */
