-- For wrk: posts readings, one each call, every call with a key of its own. The run is
-- told apart from other runs by the clock.
local count = 0
local run = os.time()

request = function()
    count = count + 1
    local key = string.format("%08x-0000-4000-8000-%012x", run, count)
    local at = 1500000000 + (run % 10000) * 10000 + count
    local body = string.format(
        '{"water":1,"at":%d,"method":"photometer","by":"Robin","values":{"ph":%.2f}}',
        at, 7 + count % 80 / 100)
    return wrk.format("POST", nil, {
        ["Origin"] = "http://" .. wrk.host .. ":" .. wrk.port,
        ["Content-Type"] = "application/json",
        ["Coilkeep-Change"] = "1",
        ["Idempotency-Key"] = key,
    }, body)
end
