/** Requests to the service: the newest answer wins, and what does not get through is tried again. */

import { LANGUAGE } from "./words.js";

const LONGEST_PAUSE_SECONDS = 10;
const COME_AGAIN = [429, 502, 503, 504];

/** Tells of `lost` when the service does not answer, and of `reached` with each answer's headers. */
export const connection = new EventTarget();

/** A refusal, as the service words it (a problem document, RFC 9457). */
export class Problem extends Error {
  /** @param {{title: string, detail: string, errors?: object[]}} told */
  constructor(told) {
    super(told.detail ?? told.title);
    this.faults = told.errors ?? [];
  }
}

class Away extends Error {
  constructor(retryAfter) {
    super("away");
    this.seconds = Number(retryAfter) || null;
  }
}

/** Requests of one kind, of which only the last is of interest. */
export class Newest {
  #latest = new AbortController();

  /** Nobody waits for an answer any more. */
  cancel() {
    this.#latest.abort();
  }

  /**
   * The answer, however long the service is away; undefined if another request has taken this one's place.
   * @param {string} path
   * @param {{body?: object, read?: "json"|"text"}} [options] with a body it is a POST of JSON
   * @throws {Problem}
   */
  async ask(path, { body, read = "json" } = {}) {
    this.cancel();
    const { signal } = (this.#latest = new AbortController());
    for (let attempt = 0; !signal.aborted; attempt += 1) {
      try {
        const response = await send(path, body, signal);
        const answer = await response[read]();
        return signal.aborted ? undefined : answer;
      } catch (error) {
        if (signal.aborted) return undefined;
        if (error instanceof Problem) throw error;
        connection.dispatchEvent(new Event("lost"));
        await pause(error.seconds ?? Math.min(2 ** attempt, LONGEST_PAUSE_SECONDS), signal);
      }
    }
    return undefined;
  }
}

async function send(path, body, signal) {
  const headers = { "Accept-Language": LANGUAGE };
  if (body) headers["Content-Type"] = "application/json";
  const response = await fetch(path, {
    method: body ? "POST" : "GET",
    body: body && JSON.stringify(body),
    headers,
    signal,
  });
  if (COME_AGAIN.includes(response.status)) throw new Away(response.headers.get("Retry-After"));
  connection.dispatchEvent(new CustomEvent("reached", { detail: response.headers }));
  if (response.ok) return response;
  throw new Problem(await response.json().catch(() => ({ title: String(response.status) })));
}

/** Waits for so many seconds, until the browser is online again, or until nobody waits any more. */
function pause(seconds, signal) {
  return new Promise((resolve) => {
    const timer = setTimeout(resolve, seconds * 1000);
    const now = () => {
      clearTimeout(timer);
      resolve();
    };
    window.addEventListener("online", now, { once: true, signal });
    signal.addEventListener("abort", now, { once: true });
  });
}
