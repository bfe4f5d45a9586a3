// Speaks with the program: one stream of events in, requests out. Every address is relative, so each
// carries the token of the page's own.

const problems = new EventTarget();

// Called with the words of whatever went wrong.
export function onProblem(show) {
  problems.addEventListener("problem", (event) => show(event.detail));
}

export function problem(text) {
  problems.dispatchEvent(new CustomEvent("problem", { detail: text }));
}

export async function post(name, data = {}) {
  let reply;
  try {
    reply = await fetch(name, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(data),
    });
  } catch {
    problem("The program does not answer: was it ended? What you did last is not kept.");
    return null;
  }
  const answer = await reply.json().catch(() => ({}));
  if (!reply.ok) {
    problem(answer.problem ?? `The program refused that (${reply.status}).`);
    return null;
  }
  return answer;
}

export function listen(take, lost) {
  const events = new EventSource("events");
  events.onmessage = (event) => take(JSON.parse(event.data));
  events.onerror = () => lost(true);
  events.onopen = () => lost(false);
}

// Edits go out one after the other, each based on the version that the one before made. Of a drag only the
// newest place waits: older ones that have not gone out yet are of no use.
const waiting = [];
let sending = false;
let version = 0;

export function knowVersion(number) {
  version = Math.max(version, number);
}

export function edit(edits, { gesture = "", ends = false } = {}) {
  const last = waiting[waiting.length - 1];
  if (gesture && last && last.gesture === gesture) waiting.pop();
  waiting.push({ edits, gesture, ends });
  void send();
}

async function send() {
  if (sending) return;
  sending = true;
  while (waiting.length) {
    const next = waiting.shift();
    const reply = await post("edit", { ...next, base: version });
    if (reply) version = Math.max(version, reply.version);
    else if (!next.gesture) waiting.length = 0;
  }
  sending = false;
}
