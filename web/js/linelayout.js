/*
 * Where the parts of a line stand in its drawing, and where water moves in a valve
 * position. Pure: numbers in, numbers out, for any graph, loops too.
 *
 * Ranks are steps along the flow (longest way from the pool), lanes lie side by side. A
 * long line across the page is broken into bands where a single pipe passes.
 */
import { roleOf } from "./linekinds.js";

/** @typedef {import("./types.js").LineGraph} LineGraph */
/** @typedef {import("./types.js").LineEdge} LineEdge */
/** @typedef {import("./types.js").LinePosition} LinePosition */

/* ---- where water moves ---- */

/** @param {LinePosition | null | undefined} position @returns {Map<number, string>} */
export const settings = (position) =>
    new Map((position?.set ?? []).map((set) => [set.part, set.to]));

/** @param {string | undefined} to @param {string | undefined} port */
function isShut(to, port) {
    return to === "closed" || to === "off" || to === "a" && port === "b" ||
        to === "b" && port === "a";
}

/**
 * Edges with moving water, by index: they lie between the pool and the pool along open
 * parts.
 * @param {LineGraph} graph @param {LinePosition | null | undefined} position
 * @returns {Set<number>}
 */
export function moving(graph, position) {
    const set = settings(position);
    const open = graph.edges.map((edge) => !isShut(set.get(edge.from), edge.from_port) &&
        !isShut(set.get(edge.to), edge.to_port));
    /** @param {string} role @param {"from" | "to"} near @param {"from" | "to"} far */
    const reach = (role, near, far) => {
        const found = new Set(graph.parts.filter((part) =>
            roleOf(part.kind) === role).map((part) => part.id));
        for (let grown = -1; grown !== found.size;) {
            grown = found.size;
            graph.edges.forEach((edge, i) => {
                if (open[i] && found.has(edge[near]))
                    found.add(edge[far]);
            });
        }
        return found;
    };
    const from_pool = reach("suction", "from", "to");
    const to_pool = reach("outlet", "to", "from");
    return new Set(graph.edges.flatMap((edge, i) => open[i] && from_pool.has(edge.from) &&
        to_pool.has(edge.to) ? [i] : []));
}

/* ---- ranks ---- */

/** Edges that close a loop, by index. @param {LineGraph} graph @returns {Set<number>} */
function backEdges(graph) {
    /** @type {Map<number, "open" | "done">} */
    const state = new Map();
    /** @type {Set<number>} */
    const back = new Set();
    /** @param {number} id */
    const visit = (id) => {
        state.set(id, "open");
        graph.edges.forEach((edge, i) => {
            if (edge.from !== id)
                return;
            if (state.get(edge.to) === "open")
                back.add(i);
            else if (!state.has(edge.to))
                visit(edge.to);
        });
        state.set(id, "done");
    };
    const fed = new Set(graph.edges.map((edge) => edge.to));
    for (const part of [...graph.parts.filter((p) => !fed.has(p.id)), ...graph.parts])
        if (!state.has(part.id))
            visit(part.id);
    return back;
}

/** @param {LineGraph} graph @param {LineEdge[]} edges without loops
 * @returns {Map<number, number>} */
function ranksOf(graph, edges) {
    /** @type {Map<number, number>} */
    const rank = new Map(graph.parts.map((part) => [part.id, 0]));
    for (let changed = true; changed;) {
        changed = false;
        for (const edge of edges) {
            const least = (rank.get(edge.from) ?? 0) + 1;
            if ((rank.get(edge.to) ?? 0) < least) {
                rank.set(edge.to, least);
                changed = true;
            }
        }
    }
    const fed = new Set(edges.map((edge) => edge.to));
    for (const part of graph.parts) { /* a suction stands beside where it joins */
        const next = edges.filter((e) => e.from === part.id).map((e) => rank.get(e.to) ?? 0);
        if (!fed.has(part.id) && next.length > 0)
            rank.set(part.id, Math.min(...next) - 1);
    }
    return rank;
}

/* ---- lanes ---- */

/**
 * @typedef {object} Spot
 * @property {number} rank
 * @property {number} lane
 * @property {number | null} id of a part; null where a pipe passes
 * @property {Spot[]} next
 */

/** Parts, and a place in every rank that a pipe passes.
 * @param {LineGraph} graph @param {Map<number, number>} rank @param {Set<number>} back */
function spotsOf(graph, rank, back) {
    /** @type {Map<number, Spot>} */
    const spots = new Map(graph.parts.map((part) => [part.id,
        { rank: rank.get(part.id) ?? 0, lane: -1, id: part.id, next: [] }]));
    /** @type {Map<number, Spot[]>} */
    const routes = new Map();
    graph.edges.forEach((edge, i) => {
        const [from, to] = [spots.get(edge.from), spots.get(edge.to)];
        if (!from || !to || back.has(i))
            return;
        /** @type {Spot[]} */
        const route = [from];
        for (let r = from.rank + 1; r < to.rank; r++)
            route.push({ rank: r, lane: -1, id: null, next: [] });
        route.push(to);
        route.forEach((spot, n) => {
            const next = route[n + 1];
            if (next)
                spot.next.push(next);
        });
        routes.set(i, route);
    });
    return { spots, routes };
}

/** @param {Spot[]} starts in order */
function putLanes(starts) {
    /** @type {Spot[][]} */
    const chains = [];
    const seen = new Set();
    for (const start of starts) {
        /** @type {Spot[]} */
        const chain = [];
        for (let at = /** @type {Spot | undefined} */ (start); at && !seen.has(at);
            at = at.next.find((next) => !seen.has(next))) {
            seen.add(at);
            chain.push(at);
        }
        if (chain.length > 0)
            chains.push(chain);
    }
    const [main, ...others] = chains;
    /** @type {[number, number, number][]} lane, first and last rank */
    const taken = [];
    const order = others.sort((a, b) => a.length - b.length);
    for (const chain of main ? [main, ...order] : []) {
        const first = chain[0]?.rank ?? 0;
        const last = chain[chain.length - 1]?.rank ?? 0;
        let lane = 0;
        while (taken.some(([l, a, b]) => l === lane && first <= b && last >= a))
            lane++;
        taken.push([lane, first, last]);
        chain.forEach((spot) => { spot.lane = lane; });
    }
}

/**
 * @typedef {object} Layout
 * @property {Map<number, Spot>} spots by id of part
 * @property {Map<number, Spot[]>} routes by index of edge; loops are left out
 * @property {number[]} loops indexes of edges that close a loop
 * @property {Spot[]} all
 * @property {number} rank_count
 * @property {number} lane_count
 */

/** @param {LineGraph} graph @returns {Layout} */
export function layoutOf(graph) {
    const back = backEdges(graph);
    const rank = ranksOf(graph, graph.edges.filter((_, i) => !back.has(i)));
    const { spots, routes } = spotsOf(graph, rank, back);
    const passing = [...routes.values()].flatMap((route) => route.slice(1, -1));
    const fed = new Set(graph.edges.map((edge) => edge.to));
    const parts = [...spots.values()];
    /* the longest way first: it becomes the straight line */
    const sources = parts.filter((spot) => !fed.has(spot.id ?? 0) && spot.next.length > 0);
    const all = [...parts, ...passing];
    const branches = all.flatMap((spot) => spot.next);
    putLanes([...sources, ...branches, ...all]);
    return { spots, routes, loops: [...back], all,
        rank_count: Math.max(0, ...all.map((spot) => spot.rank + 1)),
        lane_count: Math.max(1, ...all.map((spot) => spot.lane + 1)) };
}

/**
 * First ranks of the bands: at most so many ranks each, broken only where one pipe
 * passes; a stretch without such a place stays whole.
 * @param {Layout} layout @param {number} most
 */
export function bandsOf(layout, most) {
    const passes = new Array(layout.rank_count).fill(0);
    for (const spot of layout.all)
        for (const next of spot.next)
            passes[next.rank]++;
    const starts = [0];
    let cut = 0; /* the latest place to break in this band */
    for (let r = 1; r < layout.rank_count; r++) {
        if (passes[r] <= 1)
            cut = r;
        const start = starts[starts.length - 1] ?? 0;
        if (r - start >= most && cut > start)
            starts.push(cut);
    }
    return starts;
}
