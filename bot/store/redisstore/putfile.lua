-- KEYS: files. ARGV: name, data, quota.
if redis.call('HEXISTS', KEYS[1], ARGV[1]) == 1 then return 'there' end
local sum = #ARGV[2]
for _, name in ipairs(redis.call('HKEYS', KEYS[1])) do
  sum = sum + redis.call('HSTRLEN', KEYS[1], name)
end
if sum > tonumber(ARGV[3]) then return 'quota' end
redis.call('HSET', KEYS[1], ARGV[1], ARGV[2])
return 'kept'
