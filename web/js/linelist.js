/*
 * A line as a list: parts in the order of flow, with rows that say where the water
 * divides, where its other way begins and where the ways join. The list becomes the
 * parts and edges of the API, and those become a list again. Pure.
 *
 * What no nesting of ways can say is said by links: "also to" and "not on to the next".
 */
import { newPart, roleOf } from "./linekinds.js";

/** @typedef {import("./types.js").LinePart} LinePart */
/** @typedef {import("./types.js").LineEdge} LineEdge */
/** @typedef {import("./types.js").LineGraph} LineGraph */
/** @typedef {{to: number, from_port?: string, to_port?: string, share?: number}} Link */

/**
 * @typedef {object} Row
 * @property {"part" | "split" | "path" | "join"} row
 * @property {number} id of the part; a path has one too, that is never sent
 * @property {LinePart} part a split and a join are a tee or a three-way valve
 * @property {number} [of] path, join: id of their split
 * @property {number | null} [share] split, path: of the flow, in the way that begins
 * @property {boolean} [ends] the water does not go on to the next row
 * @property {Link[]} [also] where it goes beside that
 */

/** @typedef {{id: number, port?: string, share?: number | null, owner?: number}} End */
/** @typedef {LineEdge & {owner?: number}} OwnedEdge owner: id of the row that makes it */

const PORTS = ["a", "b"];

/* ---- list to graph ---- */

class Compiler {
    constructor() {
        /** @type {LinePart[]} */
        this.parts = [];
        /** @type {OwnedEdge[]} */
        this.edges = [];
        /** @type {End[]} where water stands that goes on to the next row */
        this.ends = [];
        /** @type {{start: boolean, row: Row, count: number, arrived: [End, number][]}[]} */
        this.open = [];
    }

    /** @param {End} end @param {number} to @param {string} [port] */
    join(end, to, port) {
        /** @type {OwnedEdge} */
        const edge = { from: end.id, to, owner: end.owner ?? to };
        if (end.port)
            edge.from_port = end.port;
        if (port)
            edge.to_port = port;
        if (end.share !== null && end.share !== undefined)
            edge.share = end.share;
        this.edges.push(edge);
    }

    /** @param {Row} row @param {Row | undefined} next */
    part(row, next) {
        const { id, kind } = row.part;
        const role = roleOf(kind);
        this.parts.push(row.part);
        const basket = kind === "skimmer_tablets" && next?.row === "part" &&
            roleOf(next.part.kind) === "suction";
        if (role === "suction" || basket) {
            const tablets = this.ends.filter((end) => this.isTablets(end.id));
            if (role === "suction")
                tablets.forEach((end) => this.join(end, id));
            this.ends = [...this.ends.filter((end) => !tablets.includes(end)), { id }];
        } else if (role !== "pool") {
            this.ends.forEach((end) => this.join(end, id));
            if (role !== "outlet")
                this.ends = [{ id }];
            else if (!(next?.row === "part" && roleOf(next.part.kind) === "outlet"))
                this.ends = [];
        }
        for (const link of row.also ?? [])
            this.edges.push({ from: id, ...link, owner: id });
        if (row.ends)
            this.ends = [];
    }

    /** @param {number} id */
    isTablets(id) {
        return this.parts.some((part) => part.id === id && part.kind === "skimmer_tablets");
    }

    /** @param {Row} row */
    split(row) {
        const three = row.part.kind === "three_way_valve";
        const start = three || this.ends.length > 0;
        this.open.push({ start, row, count: 0, arrived: [] });
        if (start) {
            this.parts.push(row.part);
            this.ends.forEach((end) => this.join(end, row.id, three ? "common" : undefined));
        }
        this.begin(row);
    }

    /** @param {Row} row a split or a path */
    begin(row) {
        const frame = this.open[this.open.length - 1];
        this.ends = !frame?.start ? [] : [{ id: frame.row.id, share: row.share, owner: row.id,
            ...(frame.row.part.kind === "three_way_valve" && PORTS[frame.count]
                ? { port: PORTS[frame.count] } : {}) }];
    }

    arrive() {
        const frame = this.open[this.open.length - 1];
        for (const end of this.ends)
            frame?.arrived.push([end, frame.count]);
        if (frame)
            frame.count++;
    }

    /** @param {Row} row */
    meet(row) {
        this.arrive();
        const arrived = this.open.pop()?.arrived ?? [];
        const three = row.part.kind === "three_way_valve";
        if (!three && arrived.length < 2) {
            this.ends = arrived.map(([end]) => end);
            return;
        }
        this.parts.push(row.part);
        for (const [end, nth] of arrived)
            this.join(end, row.id, three ? PORTS[nth] : undefined);
        this.ends = [{ id: row.id, ...(three ? { port: "common" } : {}) }];
    }
}

/** @param {Row[]} rows
 * @returns {{parts: LinePart[], edges: OwnedEdge[]}} */
export function graphOf(rows) {
    const made = new Compiler();
    rows.forEach((row, i) => {
        if (row.row === "part")
            made.part(row, rows[i + 1]);
        else if (row.row === "split")
            made.split(row);
        else if (row.row === "join")
            made.meet(row);
        else {
            made.arrive();
            made.begin(row);
        }
    });
    return { parts: made.parts, edges: made.edges };
}

/* ---- graph to list ---- */

/** @param {LineEdge} edge */
const edgeKey = (edge) => [edge.from, edge.to, edge.from_port ?? "", edge.to_port ?? "",
    edge.share ?? ""].join(" ");

/** @param {LineGraph} a @param {LineGraph} b */
export function sameGraph(a, b) {
    /** @param {LineGraph} g */
    const text = (g) => JSON.stringify([g.parts.map((p) => p.id).sort((x, y) => x - y),
        g.edges.map(edgeKey).sort()]);
    return text(a) === text(b);
}

/** @param {LinePart} part @param {"part" | "split" | "join"} [row] @param {object} [more]
 * @returns {Row} */
export const rowOf = (part, row = "part", more = {}) => ({ row, id: part.id, part,
    ...more });

class Reader {
    /** @param {LineGraph} graph */
    constructor(graph) {
        this.graph = graph;
        this.last = Math.max(0, ...graph.parts.map((part) => part.id));
        this.parts = new Map(graph.parts.map((part) => [part.id, part]));
        /** @type {Map<number, LineEdge[]>} */
        this.out = new Map();
        /** @type {Map<number, LineEdge[]>} */
        this.into = new Map();
        for (const edge of graph.edges) {
            this.out.set(edge.from, [...this.out.get(edge.from) ?? [], edge]);
            this.into.set(edge.to, [...this.into.get(edge.to) ?? [], edge]);
        }
        this.steps = 0;
    }

    /** @param {number} id */
    part(id) {
        const part = this.parts.get(id);
        if (!part || this.steps++ > 1000)
            throw new Error("not made of ways side by side");
        return part;
    }

    fresh() {
        return ++this.last;
    }

    /** @param {LineEdge[]} edges @param {"from_port" | "to_port"} port */
    sorted(edges, port) {
        return [...edges].sort((x, y) => (x[port] ?? "").localeCompare(y[port] ?? ""));
    }

    /**
     * Follows the water from a part until it leaves or comes to where others join.
     * @param {number} id @param {Row[]} rows filled here @param {boolean} [is_join]
     * @returns {LineEdge | null} the edge into the join
     */
    walk(id, rows, is_join = false) {
        for (;;) {
            const part = this.part(id);
            const out = this.out.get(id) ?? [];
            if (!is_join && out.length > 1) {
                const edge = this.divide(part, out, rows);
                if (!edge)
                    return null;
                id = edge.to;
                is_join = true;
                continue;
            }
            if (!is_join)
                rows.push(rowOf(part));
            is_join = false;
            const edge = out[0];
            if (out.length > 1) { /* a join that divides again is no list of ours */
                throw new Error("joins and divides in one part");
            }
            if (!edge)
                return null;
            if ((this.into.get(edge.to) ?? []).length > 1)
                return edge;
            id = edge.to;
        }
    }

    /** @param {LinePart} part @param {LineEdge[]} out @param {Row[]} rows
     * @returns {LineEdge | null} an edge into the place where the ways have joined */
    divide(part, out, rows) {
        const returns = out.every((edge) => roleOf(this.part(edge.to).kind) === "outlet");
        if (returns && part.kind !== "tee" && part.kind !== "three_way_valve") {
            rows.push(rowOf(part), ...out.map((edge) => rowOf(this.part(edge.to))));
            return null;
        }
        const ways = this.sorted(out, "from_port").map((edge) => {
            /** @type {Row[]} */
            const inner = [];
            const direct = (this.into.get(edge.to) ?? []).length > 1;
            return { edge, rows: inner, end: direct ? edge : this.walk(edge.to, inner) };
        });
        const ends = ways.flatMap((way) => way.end ? [way.end] : []);
        const meet = ends[0] ?? null;
        if (ends.some((end) => end.to !== meet?.to) ||
            meet && (this.into.get(meet.to) ?? []).length !== ends.length)
            throw new Error("ways that do not join in one place");
        this.putWays(ways.map((way) => ({ rows: way.rows, share: way.edge.share })),
            rowOf(part, "split"), meet ? this.part(meet.to) : newPart("tee", this.fresh()),
            rows);
        return meet;
    }

    /** @param {{rows: Row[], share?: number | null}[]} ways @param {Row} split
     * @param {LinePart} meet @param {Row[]} rows */
    putWays(ways, split, meet, rows) {
        ways.forEach((way, i) => {
            const share = way.share ?? null;
            if (i === 0)
                rows.push({ ...split, share });
            else
                rows.push({ row: "path", share, of: split.id,
                    ...this.marker() });
            rows.push(...way.rows);
        });
        rows.push(rowOf(meet, "join", { of: split.id }));
    }

    marker() {
        const part = newPart("tee", this.fresh());
        return { id: part.id, part };
    }

    /** All of it, from every place where water comes in. */
    read() {
        /** @type {Map<number, {edge: LineEdge, rows: Row[]}[]>} */
        const waiting = new Map();
        /** @type {Row[]} */
        const done = [];
        /** @param {number} id @param {Row[]} rows @param {boolean} is_join */
        const go = (id, rows, is_join) => {
            const edge = this.walk(id, rows, is_join);
            if (!edge)
                return void done.push(...rows);
            const here = [...waiting.get(edge.to) ?? [], { edge, rows }];
            waiting.set(edge.to, here);
            if (here.length === (this.into.get(edge.to) ?? []).length)
                this.gather(edge.to, here, go);
        };
        for (const part of this.graph.parts)
            if ((this.into.get(part.id) ?? []).length === 0)
                go(part.id, [], false);
        return done;
    }

    /** Sources that meet. @param {number} id @param {{edge: LineEdge, rows: Row[]}[]} ways
     * @param {(id: number, rows: Row[], is_join: boolean) => void} go */
    gather(id, ways, go) {
        const part = this.part(id);
        if (part.kind !== "tee" && part.kind !== "three_way_valve")
            return go(id, ways.flatMap((way) => way.rows), false);
        /** @type {Row[]} */
        const rows = [];
        const order = this.sorted(ways.map((way) => way.edge), "to_port");
        this.putWays(order.map((edge) => ({ rows: ways.find((way) =>
            way.edge === edge)?.rows ?? [] })), { row: "split", ...this.marker() }, part,
        rows);
        return go(id, rows, true);
    }
}

/** Every link said outright. @param {LineGraph} graph @returns {Row[]} */
function plainList(graph) {
    const order = inFlowOrder(graph);
    return order.map((part, i) => {
        const next = order[i + 1];
        const out = graph.edges.filter((edge) => edge.from === part.id);
        const goes_on = next && !["suction", "pool"].includes(roleOf(next.kind)) &&
            !["outlet", "pool"].includes(roleOf(part.kind)) &&
            next.kind !== "skimmer_tablets" /* it may lie in the basket that follows */
            ? out.find((edge) => edge.to === next.id && !edge.from_port &&
                !edge.to_port && (edge.share ?? null) === null) : undefined;
        const also = out.filter((edge) => edge !== goes_on).map((edge) => {
            const { from: _, ...link } = edge;
            return link;
        });
        return rowOf(part, "part", { ...(goes_on ? {} : { ends: true }),
            ...(also.length > 0 ? { also } : {}) });
    });
}

/** @param {LineGraph} graph @returns {LinePart[]} */
export function inFlowOrder(graph) {
    /** @type {LinePart[]} */
    const order = [];
    const seen = new Set();
    const parts = new Map(graph.parts.map((part) => [part.id, part]));
    /** @param {LinePart} part */
    const visit = (part) => {
        if (seen.has(part.id))
            return;
        seen.add(part.id);
        for (const edge of [...graph.edges].reverse()) {
            const next = edge.from === part.id ? parts.get(edge.to) : undefined;
            if (next)
                visit(next);
        }
        order.unshift(part);
    };
    const is_fed = new Set(graph.edges.map((edge) => edge.to));
    for (const part of [...graph.parts].reverse())
        if (!is_fed.has(part.id))
            visit(part);
    graph.parts.forEach(visit);
    return order;
}

/** The list of a line as the daemon keeps it. @param {LineGraph} graph @returns {Row[]} */
export function listOf(graph) {
    const clean = { parts: graph.parts, edges: graph.edges.map((edge) => {
        const { share, ...rest } = edge;
        return share === null || share === undefined ? rest : { ...rest, share };
    }) };
    try {
        const rows = new Reader(clean).read();
        if (sameGraph(graphOf(rows), clean))
            return rows;
    } catch {
        /* a graph that is no nesting of ways */
    }
    return plainList(clean);
}

/* ---- changing the list; every function gives a new one ---- */

/** Where a row and what belongs to it ends. @param {Row[]} rows @param {number} at */
export function blockEnd(rows, at) {
    const row = rows[at];
    return row?.row === "split"
        ? rows.findIndex((r) => r.row === "join" && r.of === row.id) + 1 : at + 1;
}

/** Ways open and close in order. @param {Row[]} rows */
export function isNested(rows) {
    /** @type {number[]} */
    const open = [];
    for (const row of rows)
        if (row.row === "split")
            open.push(row.id);
        else if (row.row !== "part") {
            if (open[open.length - 1] !== row.of)
                return false;
            if (row.row === "join")
                open.pop();
        }
    return open.length === 0;
}

/**
 * A row (a split with all its ways) before another place of the list.
 * @param {Row[]} rows @param {number} at @param {number} target index of the row before
 *   which it goes, rows.length for the end
 * @returns {Row[] | null} null when it cannot stand there or would not move
 */
export function moved(rows, at, target) {
    const end = blockEnd(rows, at);
    if (target >= at && target <= end || target < 0 || target > rows.length)
        return null;
    const block = rows.slice(at, end);
    const next = target < at
        ? [...rows.slice(0, target), ...block, ...rows.slice(target, at), ...rows.slice(end)]
        : [...rows.slice(0, at), ...rows.slice(end, target), ...block, ...rows.slice(target)];
    return isNested(next) ? next : null;
}

/** One place up or down. @param {Row[]} rows @param {number} at @param {1 | -1} by */
export const stepped = (rows, at, by) =>
    moved(rows, at, by < 0 ? at - 1 : blockEnd(rows, at) + 1);

/** @param {Row[]} rows */
export const freshId = (rows) => Math.max(0, ...rows.map((row) => row.id)) + 1;

/** @param {Row[]} rows @param {number} at @param {string} kind */
export function withPart(rows, at, kind) {
    const row = rowOf(newPart(kind, freshId(rows)));
    return { rows: [...rows.slice(0, at), row, ...rows.slice(at)], id: row.id };
}

/** Two empty ways. @param {Row[]} rows @param {number} at
 * @param {"tee" | "three_way_valve"} split @param {"tee" | "three_way_valve"} join */
export function withWays(rows, at, split, join) {
    const id = freshId(rows);
    const [way, meet] = [newPart("tee", id + 1), newPart(join, id + 2)];
    return { id, rows: [...rows.slice(0, at), rowOf(newPart(split, id), "split",
        { share: null }), { row: /** @type {const} */ ("path"), id: way.id, part: way,
        of: id, share: null }, rowOf(meet, "join", { of: id }), ...rows.slice(at)] };
}

/** One more way at the end of a group. @param {Row[]} rows @param {number} split id */
export function withWay(rows, split) {
    const at = rows.findIndex((row) => row.row === "join" && row.of === split);
    const part = newPart("tee", freshId(rows));
    return [...rows.slice(0, at), { row: /** @type {const} */ ("path"), id: part.id, part,
        of: split, share: null }, ...rows.slice(at)];
}

/** Without a row; without a split, its end or its only other way its parts stay, one
 * after the other. @param {Row[]} rows @param {number} at @returns {Row[]} */
export function without(rows, at) {
    const row = rows[at];
    if (!row)
        return rows;
    const group = row.row === "split" ? row.id : row.of;
    const ways = rows.filter((r) => r.row === "path" && r.of === group).length;
    const whole = row.row === "split" || row.row === "join" || row.row === "path" && ways < 2;
    const gone = new Set(whole ? rows.filter((r) => r.row !== "part" &&
        (r.row === "split" ? r.id : r.of) === group).map((r) => r.id) : [row.id]);
    return rows.filter((r) => !gone.has(r.id)).map((r) => r.also?.some((link) =>
        gone.has(link.to)) ? { ...r, also: r.also.filter((link) => !gone.has(link.to)) } : r);
}

/** @param {Row[]} rows @param {number} id @param {(row: Row) => Row} change */
export const changed = (rows, id, change) =>
    rows.map((row) => row.id === id ? change(row) : row);
