// A thermometer near the phone that speaks Bluetooth's own Environmental Sensing Service
// (Bluetooth SIG, Assigned Numbers: service 0x181A, characteristic Temperature 0x2A6E, a signed
// 16-bit number of hundredths of a degree Celsius; 0x8000 says that it is not known).

const service = 0x181a
const temperature = 0x2a6e

interface Reader {
  readValue(): Promise<DataView>
}
interface Thermometer {
  gatt: {
    connect(): Promise<{
      getPrimaryService(id: number): Promise<{ getCharacteristic(id: number): Promise<Reader> }>
    }>
    disconnect(): void
  }
}
interface Radio {
  requestDevice(asked: { filters: { services: number[] }[] }): Promise<Thermometer>
}

const radio = () => (navigator as { bluetooth?: Radio }).bluetooth
export const canSense = (): boolean => radio() !== undefined

/** Degrees Celsius, or undefined where the thermometer itself does not know. */
export function celsius(value: DataView): number | undefined {
  const hundredths = value.getInt16(0, true)
  return hundredths === -0x8000 ? undefined : hundredths / 100
}

/** Asks the person which thermometer, and reads it once. */
export async function sensed(): Promise<number | undefined> {
  const it = await radio()!.requestDevice({ filters: [{ services: [service] }] })
  try {
    const server = await it.gatt.connect()
    const reader = await (await server.getPrimaryService(service)).getCharacteristic(temperature)
    return celsius(await reader.readValue())
  } finally {
    it.gatt.disconnect()
  }
}
