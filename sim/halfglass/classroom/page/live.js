// The one connection to the classroom: it says the token, comes again by itself, and says how it stands.

const FIRST_WAIT = 300, LONGEST_WAIT = 3000; // ms
const AWAY = [4001, 4013]; // another token, too many windows: trying on would not help

export class Live {
  /** `heard`: function of each message; `stood`: function of (state, words): "here", "lost" or "away". */
  constructor(heard, stood) {
    this.heard = heard;
    this.stood = stood;
    this.wait = FIRST_WAIT;
    this.token = new URLSearchParams(location.hash.slice(1)).get("token") || "";
    this.window = sessionStorage.getItem("window") || "";
    this.open();
  }

  open() {
    if (!this.token) return this.stood("away", "Open the address that the terminal shows: it ends in a token that lets this page in.");
    const socket = this.socket = new WebSocket(`ws://${location.host}/live`);
    let words = "";
    socket.onopen = () => socket.send(JSON.stringify({ do: "hello", token: this.token, window: this.window }));
    socket.onmessage = event => {
      const message = JSON.parse(event.data);
      if (message.is === "away") {
        words = message.text;
        return;
      }
      if (message.is === "hello") {
        this.wait = FIRST_WAIT;
        this.window = message.window;
        sessionStorage.setItem("window", this.window);
        this.stood("here", "");
      }
      this.heard(message);
    };
    socket.onclose = event => {
      if (socket !== this.socket) return;
      if (AWAY.includes(event.code)) return this.stood("away", words || event.reason);
      this.stood("lost", "The classroom does not answer: is the terminal still running it? This page comes back by itself, and nothing is lost.");
      setTimeout(() => this.open(), this.wait);
      this.wait = Math.min(LONGEST_WAIT, this.wait * 1.6);
    };
  }

  say(message) {
    if (this.socket && this.socket.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify(message));
  }
}
