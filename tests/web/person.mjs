// A person at a page: each act is done with real keys and clicks, and costs what it costs a
// person by the keystroke-level model (S. K. Card, T. P. Moran, A. Newell, "The
// keystroke-level model for user performance time with interactive systems", Communications
// of the ACM 23 (7), 1980; its times from memory): a key of an average typist 0.28 s, to
// point at something 1.1 s, a button of the mouse 0.1 s each way, the hand from mouse to
// keyboard 0.4 s, to make up one's mind 1.35 s.

const KEY_S = 0.28;
const POINT_S = 1.1;
const CLICK_S = 0.2;
const HOME_S = 0.4;
const MIND_S = 1.35;

export class Person {
  /** @param {import("playwright-core").Page} page
   *  @param {boolean} [in_real_time] waits as long as the person would take */
  constructor(page, in_real_time = false) {
    this.page = page;
    this.in_real_time = in_real_time;
    this.human_s = 0;
    this.keys = 0;
    this.acts = 0;
  }

  /** @param {number} seconds */
  async spend(seconds) {
    this.human_s += seconds;
    this.acts += 1;
    if (this.in_real_time) await new Promise((done) => setTimeout(done, seconds * 1000));
  }

  /** Into a field, in place of what stands there. @param {string} selector
   *  @param {string} text */
  async type(selector, text) {
    await this.spend(MIND_S + POINT_S + CLICK_S + 2 * HOME_S);
    await this.page.click(selector);
    await this.page.keyboard.press("Control+A");
    await this.page.keyboard.type(text, { delay: this.in_real_time ? KEY_S * 1000 : 0 });
    this.keys += text.length + 2;
    this.human_s += KEY_S * (text.length + 2);
  }

  /** A button, a link, a check box. @param {string} selector */
  async press(selector) {
    await this.spend(MIND_S + POINT_S + CLICK_S);
    await this.page.click(selector);
  }

  /** One of a list that opens. @param {string} selector @param {string} value */
  async choose(selector, value) {
    await this.spend(MIND_S + 2 * (POINT_S + CLICK_S));
    await this.page.selectOption(selector, value);
  }

  /** Reads a line or two before going on. @param {number} words */
  async read(words) {
    await this.spend(words / 4); // 240 words a minute: common practice, no source
  }
}

/**
 * From an empty daemon to the first permit, as a stranger goes who has measured the pool and
 * holds the heater's manual.
 * @param {import("playwright-core").Page} page at the Heater page
 * @param {Person} person
 * @param {(selector: string, pattern: RegExp) => Promise<unknown>} seen
 */
export async function adopt(page, person, seen) {
  await person.read(25);
  await person.press("text=Start");
  await seen("h2", /Step 1 of 3/);
  await person.type('[name="name"]', "Casa Olmo");
  await person.press('label:has([name="decimal_comma"])');
  await person.press("button.strong");
  await seen("h2", /Step 2 of 3/);
  await person.press("summary:has-text('Work it out')");
  await person.read(25);
  await person.type('[name="volume.length"]', "8");
  await person.type('[name="volume.width"]', "4");
  await person.type('[name="volume.shallow"]', "1,2");
  await person.type('[name="volume.deep"]', "1,8");
  await person.press("text=Use this result");
  await person.press("button.strong");
  await seen("h2", /Step 3 of 3/);
  await person.read(30);
  await person.choose('[name="metal"]', "copper");
  await person.type('[name="limits.free_chlorine_high.value"]', "3");
  await person.choose('[name="limits.free_chlorine_high.source"]', "manual");
  await person.press("button.strong");
  await seen("#done", /Everything is set up/);
  await person.press("text=Enter the first test");
  await seen("h1", /Enter a test/);
  await person.type('[name="values.ph"]', "7,4");
  await person.type('[name="values.free_chlorine_mg_per_l"]', "1,5");
  await person.choose('#test [name="method"]', "drop_count");
  await person.press("#test button.strong");
  await seen(".effect", /May run/);
}
