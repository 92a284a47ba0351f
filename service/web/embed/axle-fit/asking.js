/** The questions to the service: a lookup's list, as far as it is shown, and its facets. */

const PATIENCE_MS = 10_000;
const LARGEST_PAGE = 100;
const MOST_PAGES = 20;

/** The service refused a request, or is limited or broken; what it said of it. */
export class Refusal extends Error {
  constructor(answer, problem) {
    super(problem.detail ?? answer.statusText);
    this.status = answer.status;
    this.type = problem.type ?? "";
    this.faults = problem.errors ?? [];
    this.seconds = Number(answer.headers.get("Retry-After")) || 60;
  }
}

/**
 * Something that asks the service at an address, until the signal says that nobody waits any more.
 * @returns {(path: string) => Promise<any>}
 */
export function asker(api, language, signal) {
  return async (path) => {
    const answer = await fetch(api.replace(/\/$/, "") + path, {
      headers: { "Accept-Language": language },
      credentials: "omit",
      signal: AbortSignal.any([signal, AbortSignal.timeout(PATIENCE_MS)]),
    });
    if (answer.ok) return answer.json();
    throw new Refusal(answer, await answer.json().catch(() => ({})));
  };
}

/** What a request is as a query; a filter with several values is repeated. */
export function queryOf(request, filters = {}) {
  const query = new URLSearchParams(request);
  for (const [facet, values] of Object.entries(filters)) for (const value of values) query.append(facet, value);
  return query.toString();
}

/**
 * The first axles of a lookup that pass all filters, the facets, and what else the lookup says.
 * The lookup puts what is preferred first, so that mostly its first page holds them.
 */
export async function lookUp(ask, request, filters, most) {
  const filtered = Object.keys(filters).length > 0;
  const options = { limit: filtered ? LARGEST_PAGE : Math.min(most, LARGEST_PAGE), near_misses: 2 };
  const [facets, first] = await Promise.all([
    ask(`/v1/facets?${queryOf(request, filters)}`),
    ask(`/v1/fits?${queryOf({ ...request, ...preferred(filters), ...options })}`),
  ]);
  const passing = (page) => page.fits.filter(({ axle }) => passes(axle, filters));
  const wanted = Math.min(most, facets.count);
  const fits = passing(first);
  let page = first;
  for (let pages = 1; fits.length < wanted && page.links?.next && pages < MOST_PAGES; pages += 1) {
    page = await ask(page.links.next);
    fits.push(...passing(page));
  }
  return { ...first, fits: fits.slice(0, most), facets };
}

/** The preferences of a lookup that put what the filters want first. */
function preferred({ drive = [], colour = [], in_stock = [] }) {
  return {
    ...(drive.length === 1 && { prefer_drive: drive[0] }),
    ...(colour.length === 1 && { prefer_colour: colour[0] }),
    ...(in_stock.length === 1 && in_stock[0] === "true" && { in_stock: "true" }),
  };
}

/** Whether an axle has one of the values of each facet that is filtered by; what is not known passes none. */
function passes(axle, filters) {
  const seen = { ...axle, in_stock: axle.stock === null ? null : axle.stock > 0 };
  return Object.entries(filters).every(([facet, values]) => values.includes(String(seen[facet])));
}
