// The line to the program that serves this page: what is asked goes out, what has changed comes in.

const FIRST_WAIT = 300, LONGEST_WAIT = 4000; // milliseconds before the line is tried again

/** A message: its document, and the bytes that belong to it. */
export function unpacked(buffer) {
  const length = new DataView(buffer).getUint32(0, true);
  const told = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length)));
  let at = 4 + length;
  told.parts = told.sizes.map((size) => {
    const part = new Uint8Array(buffer, at, size);
    at += size + ((4 - (size % 4)) % 4);
    return part;
  });
  return told;
}

export class Link {
  /** `told(message)` is called for each message and waited for, `joined(whether)` when the line opens or breaks. */
  constructor(told, joined) {
    this.told = told;
    this.joined = joined;
    this.number = 0;
    this.wait = FIRST_WAIT;
    this.held = null; // of a drag, the newest step that has not gone out
    this.out = null; // of a drag, the number of the step that has not been answered
    this.shown = null; // a promise that what came last is shown
    this.open();
  }

  open() {
    const address = new URL("line", window.location.href);
    address.protocol = "ws:";
    this.socket = new WebSocket(address);
    this.socket.binaryType = "arraybuffer";
    this.socket.addEventListener("open", () => {
      this.wait = FIRST_WAIT;
      this.held = this.out = null;
      this.joined(true);
    });
    this.socket.addEventListener("message", (event) => this.take(unpacked(event.data)));
    this.socket.addEventListener("close", () => {
      this.joined(false);
      window.setTimeout(() => this.open(), this.wait);
      this.wait = Math.min(LONGEST_WAIT, 2 * this.wait);
    });
  }

  /** Asks for something; gives the number by which the answer is known, or 0 while the line is broken. */
  ask(act, what = {}) {
    if (this.socket.readyState !== WebSocket.OPEN) return 0;
    this.number += 1;
    this.socket.send(JSON.stringify({ n: this.number, act, ...what }));
    return this.number;
  }

  /** Asks for a step of a drag. One is on its way at a time; of those that come meanwhile the newest follows it. */
  step(act, what) {
    if (this.out !== null) this.held = [act, what];
    else this.out = this.ask(act, what) || null;
  }

  async take(message) {
    const earlier = this.shown;
    this.shown = this.told(message);
    await earlier; // so that one picture at the most waits to be drawn, however slowly it goes
    if (message.n !== undefined && message.n === this.out) {
      const next = this.held;
      this.held = this.out = null;
      if (next) this.step(...next);
    }
  }
}
