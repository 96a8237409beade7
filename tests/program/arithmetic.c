/* Adds, subtracts, multiplies, divides and compares numbers made of bits at random, on an emulated
 * controller of 8 bits, and prints the bits of what comes out. SEED and COUNT are given. */
#include <avr/io.h>
#include <stdint.h>
#include <string.h>

static uint32_t seed = SEED;

static void put(char letter)
{
    while ((UCSR0A & (1U << UDRE0)) == 0U) {
    }
    UDR0 = (uint8_t)letter;
}

static void put_bits(float value)
{
    uint32_t bits = 0U;
    (void)memcpy(&bits, &value, sizeof(bits));
    for (int8_t shift = 28; shift >= 0; shift = (int8_t)(shift - 4)) {
        put("0123456789abcdef"[(bits >> shift) & 15U]);
    }
    put(' ');
}

static float float_of(uint32_t bits)
{
    float value = 0.0F;
    (void)memcpy(&value, &bits, sizeof(value));
    return value;
}

/* Marsaglia's xorshift with 13, 17, 5. */
static uint32_t draw(void)
{
    seed ^= seed << 13;
    seed ^= seed >> 17;
    seed ^= seed << 5;
    return seed;
}

int main(void)
{
    UCSR0B = (uint8_t)(1U << TXEN0);
    for (uint32_t i = 0U; i < COUNT; i++) {
        uint32_t a = draw(), b = draw();
        const uint32_t kind = draw() & 7U;
        if (kind < 2U) { /* of like size */
            b = (b & 0x807fffffUL) | ((a + kind * 0x00800000UL) & 0x7f800000UL);
        } else if (kind == 2U) { /* of everyday size */
            a = (a & 0x87ffffffUL) | 0x38000000UL;
            b = (b & 0x87ffffffUL) | 0x38000000UL;
        } else if (kind == 3U) { /* the first below the normal range */
            a &= 0x807fffffUL;
        } else if (kind == 4U) { /* both small */
            a &= 0x83ffffffUL;
            b &= 0x83ffffffUL;
        }
        volatile const float x = float_of(a), y = float_of(b);
        put_bits(x);
        put_bits(y);
        put_bits(x + y);
        put_bits(x - y);
        put_bits(x * y);
        put_bits(x / y);
        put((char)('0' + (x < y) + 2 * (x <= y) + 4 * (x > y)));
        put(x >= y ? '1' : '0');
        put('\n');
    }
    put('.');
    put('\n');
    for (;;) {
    }
}
