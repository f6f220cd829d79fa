/*
 * Where the house is: near a city of the zone table, by coordinates, or not said. The sun's
 * height needs no more than that.
 */
import { el, place } from "./dom.js";
import { entryWords } from "./entrywords.js";
import { chips, field, textInput, valueOf } from "./form.js";
import { readAngle } from "./lengths.js";
import { writeNumber } from "./numbers.js";
import { setupWords } from "./setupwords.js";

/** @typedef {import("./types.js").Site} Site */
/** @typedef {import("./form.js").FormFault} FormFault */
/** @typedef {{zone: string, latitude: number, longitude: number}} City */

/** "America/New_York" is the zone, "New York" its city. @param {string} zone */
export function cityName(zone) {
    return (zone.split("/").pop() ?? "").replace(/_/g, " ");
}

/** What the browser calls a zone that has two names. @param {string} zone */
function oneName(zone) {
    try {
        return Intl.DateTimeFormat("en", { timeZone: zone }).resolvedOptions().timeZone;
    } catch {
        return zone;
    }
}

/** @param {City[]} cities @param {string} zone @returns {City | undefined} */
export function cityOfZone(cities, zone) {
    const found = cities.find((city) => city.zone === zone);
    if (found || zone === "")
        return found;
    const name = oneName(zone); /* Asia/Calcutta is Asia/Kolkata */
    return cities.find((city) => oneName(city.zone) === name);
}

/** By its own name or its zone's, upper or lower case. @param {City[]} cities
 * @param {string} text @returns {City | undefined} */
export function cityNamed(cities, text) {
    const wanted = text.trim().toLowerCase().replace(/\s+/g, " ");
    return cities.find((city) => cityName(city.zone).toLowerCase() === wanted ||
        city.zone.toLowerCase() === wanted.replace(/ /g, "_"));
}

/** @param {number} latitude @param {number} longitude @param {boolean} comma */
export function placeText(latitude, longitude, comma) {
    /** @param {number} value @param {string} ends */
    const angle = (value, ends) =>
        `${writeNumber(Math.abs(value), 2, comma)}° ${ends.charAt(value < 0 ? 1 : 0)}`;
    return `${angle(latitude, "NS")}, ${angle(longitude, "EW")}`;
}

export class PlaceField {
    /** @param {Site} site @param {City[]} cities @param {HTMLInputElement} zone */
    constructor(site, cities, zone) {
        this.site = site;
        this.cities = cities;
        this.zone = zone;
        const known = cities.find((city) => city.latitude === site.latitude &&
            city.longitude === site.longitude);
        const near = known ?? cityOfZone(cities, zone.value);
        this.own_city = known !== undefined && known !== cityOfZone(cities, zone.value);
        const chosen = site.latitude !== null ? known ? "city" : "own"
            : site.set_up || !near ? "none" : "city";
        this.city = textInput({ list: "cities", value: near ? cityName(near.zone) : "" });
        this.echo = el("p", { class: "hint", role: "status" });
        this.cityRow = el("div", {}, field("city", setupWords.city, this.city,
            { hint: setupWords.cityHint }), this.echo,
        el("datalist", { id: "cities" }, cities.map((city) =>
            el("option", { value: cityName(city.zone) }))));
        this.ownRow = el("div", { class: "pair" },
            this.angle("latitude", setupWords.latitude, known ? null : site.latitude),
            this.angle("longitude", setupWords.longitude, known ? null : site.longitude));
        const ways = Object.entries(setupWords.placeWays).filter(([way]) =>
            way !== "city" || cities.length > 0);
        this.node = el("div", {}, chips("place", setupWords.place, ways, chosen,
            (way) => this.show(way)),
        el("p", { class: "hint" }, setupWords.placeHint), this.cityRow, this.ownRow);
        this.city.addEventListener("input", () => {
            this.own_city = true;
            this.say();
        });
        zone.addEventListener("input", () => this.follow());
        this.show(chosen);
    }

    /** @param {"latitude" | "longitude"} name @param {string} label
     * @param {number | null} value */
    angle(name, label, value) {
        return field(name, label, textInput({ value: value === null ? ""
            : writeNumber(value, 6, this.site.decimal_comma) }), { unit: "°" });
    }

    /** @param {string} way */
    show(way) {
        this.cityRow.hidden = way !== "city";
        this.ownRow.hidden = way !== "own";
        this.say();
    }

    /** The city goes with the zone until somebody types another. */
    follow() {
        const near = this.own_city ? undefined : cityOfZone(this.cities, this.zone.value);
        if (near) {
            this.city.value = cityName(near.zone);
            this.say();
        }
    }

    say() {
        const city = cityNamed(this.cities, this.city.value);
        place(this.echo, city ? placeText(city.latitude, city.longitude,
            this.site.decimal_comma) : null);
    }

    /** @param {HTMLFormElement} form @param {FormFault[]} faults
     * @returns {{latitude?: number, longitude?: number}} */
    read(form, faults) {
        const way = valueOf(form, "place");
        if (way === "city") {
            const city = cityNamed(this.cities, this.city.value);
            if (!city)
                faults.push({ field: "city", text: setupWords.cityUnknown });
            return city ? { latitude: city.latitude, longitude: city.longitude } : {};
        }
        if (way !== "own")
            return {};
        const latitude = this.readAngle(form, "latitude", "NS", 90, faults);
        const longitude = this.readAngle(form, "longitude", "EW", 180, faults);
        return latitude === null || longitude === null ? {} : { latitude, longitude };
    }

    /** @param {HTMLFormElement} form @param {"latitude" | "longitude"} name
     * @param {"NS" | "EW"} ends @param {number} most @param {FormFault[]} faults */
    readAngle(form, name, ends, most, faults) {
        const text = valueOf(form, name);
        const read = readAngle(text, ends);
        if (read.ok && Math.abs(read.stored) <= most)
            return read.stored;
        faults.push({ field: name, text: read.ok ? setupWords.angleRange(most)
            : read.code === "empty" ? setupWords.placeBoth
                : `${entryWords.faults[read.code]} ${entryWords.seen(text.trim())}` });
        return null;
    }
}
