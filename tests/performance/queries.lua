-- Asks for one line of a file after the other: `wrk ... -s queries.lua URL -- FILE FIRST`.
-- At the end of the file it begins again; the harness refuses that where requests have to be distinct.
local requests, at = {}, 0

function init(arguments)
  -- wrk writes one request out, and the others differ in their query alone: so a round begins at once.
  local head, tail = wrk.format("GET", "/v1/fits?QUERY"):match("^(.-)QUERY(.*)$")
  for line in io.lines(arguments[1]) do
    requests[#requests + 1] = head .. line .. tail
  end
  at = tonumber(arguments[2]) % #requests
end

function request()
  at = at % #requests + 1
  return requests[at]
end

function done(summary, latency, _)
  local e = summary.errors
  io.write(string.format(
    'SUMMARY {"requests": %d, "microseconds": %d, "bytes": %d, "p50_us": %d, "p99_us": %d, ' ..
    '"refused": %d, "connect": %d, "read": %d, "write": %d, "timeout": %d}\n',
    summary.requests, summary.duration, summary.bytes, latency:percentile(50), latency:percentile(99),
    e.status, e.connect, e.read, e.write, e.timeout))
end
