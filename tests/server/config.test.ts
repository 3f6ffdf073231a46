import { availableParallelism } from 'node:os'
import { resolve } from 'node:path'
import { describe, expect, it } from 'vitest'
import { ConfigFaults, readConfig } from '../../server/config.ts'

describe('the settings', () => {
  it('have defaults that run on one machine', () => {
    expect(readConfig({})).toEqual({
      port: 8080,
      host: '127.0.0.1',
      dataDir: resolve('data'),
      publicUrl: undefined,
      demo: true,
      searchThreads: availableParallelism() > 2 ? 2 : 1,
      searchLimitS: 120,
      keepDays: undefined,
      logLevel: 'warn',
      isLimited: true,
      trustedProxies: ['loopback']
    })
    expect(readConfig({ PORT: '', DEMO: ' ' })).toEqual(readConfig({}))
  })

  it('are read from the environment', () => {
    const environment = {
      PORT: '0',
      HOST: '0.0.0.0',
      DATA_DIR: '/var/lib/ullage',
      PUBLIC_URL: 'https://ullage.example.org/',
      DEMO: 'off',
      SEARCH_THREADS: '4',
      SEARCH_LIMIT_S: '30',
      KEEP_DAYS: '90',
      LOG_LEVEL: 'info',
      RATE_LIMITS: 'off',
      TRUSTED_PROXIES: 'loopback, 10.0.0.0/8, 2001:db8::/32'
    }
    expect(readConfig(environment)).toEqual({
      port: 0,
      host: '0.0.0.0',
      dataDir: '/var/lib/ullage',
      publicUrl: 'https://ullage.example.org',
      demo: false,
      searchThreads: 4,
      searchLimitS: 30,
      keepDays: 90,
      logLevel: 'info',
      isLimited: false,
      trustedProxies: ['loopback', '10.0.0.0/8', '2001:db8::/32']
    })
    expect(readConfig({ TRUSTED_PROXIES: 'none' }).trustedProxies).toEqual([])
  })

  it('are refused all at once, a line each, with what stood there', () => {
    const environment = { PORT: '80800', HOST: 'http://x', PUBLIC_URL: 'https://x.org/path', DEMO: 'maybe' }
    let faults: unknown
    try {
      readConfig(environment)
    } catch (error) {
      faults = error
    }
    expect(faults).toBeInstanceOf(ConfigFaults)
    const { lines } = faults as ConfigFaults
    expect(lines.map((line) => line.split(':')[0])).toEqual([
      'PORT is "80800"',
      'HOST is "http',
      'PUBLIC_URL is "https',
      'DEMO is "maybe"'
    ])
  })

  it.each(['-1', '1.5', '65536', '0x50', '8080a'])('take no port %s', (port) => {
    expect(() => readConfig({ PORT: port })).toThrow('0 to 65535')
  })

  it.each(['0', '17', '1.5', 'many'])('take no %s threads that search', (threads) => {
    expect(() => readConfig({ SEARCH_THREADS: threads })).toThrow('auto, or 1 to 16 threads')
  })

  it.each(['0', '3601', '1.5', 'long'])('take no limit of %s seconds', (limit) => {
    expect(() => readConfig({ SEARCH_LIMIT_S: limit })).toThrow('1 to 3600 seconds')
  })

  it.each(['ullage.example.org', 'ftp://x.org', 'https://user@x.org', 'https://x.org/?a=1', 'https://x.org/#a'])(
    'take no public address %s',
    (address) => {
      expect(() => readConfig({ PUBLIC_URL: address })).toThrow('PUBLIC_URL')
    }
  )

  it.each(['everybody', '10.0.0.0/33', '10.0.0.1/8/8', '10.0.0', 'loopback,'])('trust no proxy %s', (proxies) => {
    expect(() => readConfig({ TRUSTED_PROXIES: proxies })).toThrow('none, or addresses and networks')
  })
})
