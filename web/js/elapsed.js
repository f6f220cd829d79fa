/*
 * How long ago something was, on a device that sleeps and whose clock people set.
 *
 * performance.now() stands still while most devices sleep, and Date.now() jumps when the
 * clock is set. So each look takes the larger of the two steps since the last one, and a
 * step backwards makes the count endless: whatever was being counted is over.
 */

/** @typedef {{steady_ms: number, wall_ms: number}} Clocks */

/** @returns {Clocks} */
export function readClocks() {
    return { steady_ms: performance.now(), wall_ms: Date.now() };
}

export class Elapsed {
    /** @param {Clocks} [start] */
    constructor(start = readClocks()) {
        this.last = start;
        this.total_ms = 0;
    }

    /** Seconds since the start; Infinity after a clock went backwards.
     * @param {Clocks} [now] */
    seconds(now = readClocks()) {
        const steady = now.steady_ms - this.last.steady_ms;
        const wall = now.wall_ms - this.last.wall_ms;
        this.last = now;
        this.total_ms += steady < 0 || wall < 0 ? Infinity : Math.max(steady, wall);
        return this.total_ms / 1000;
    }
}
