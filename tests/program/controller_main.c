/* Feeds an emitted program from arrays, on an emulated controller without an operating system, and
 * prints what is after each sample: stage, height and climb as bits, outputs. The test that builds
 * this defines the program's names, and writes readings.h. */
#include <assert.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include "program.h"
#include "readings.h"

#if defined(__AVR__)
#include <avr/io.h>

static void put(char letter)
{
    while ((UCSR0A & (1U << UDRE0)) == 0U) {
    }
    UDR0 = (uint8_t)letter;
}

static void begin_output(void) { UCSR0B = (uint8_t)(1U << TXEN0); }

/* The checks of avr-libc end here. */
void abort(void) __attribute__((noreturn));
void abort(void)
{
    put('!');
    for (;;) {
    }
}

static void stop(void)
{
    for (;;) {
    }
}
#else
extern uint32_t data_begin[], data_end[], data_kept[], bss_begin[], bss_end[], stack_top[];
void reset(void);
int main(void);

/* What the debugger's side does for a program on a bare ARM: semihosting. */
static void call_host(uint32_t what, const void *with)
{
    register uint32_t r0 __asm__("r0") = what;
    register const void *r1 __asm__("r1") = with;
    __asm__ volatile("bkpt 0xab" : "+r"(r0) : "r"(r1) : "memory");
}

static void put(char letter) { call_host(3U, &letter); }

static void begin_output(void)
{
#if defined(__ARM_FP)
    *(volatile uint32_t *)0xE000ED88U |= 0xF00000U; /* switch the floating-point unit on */
    __asm__ volatile("dsb\n isb");
#endif
}

static void stop(void)
{
    call_host(0x18U, (const void *)0x20026U);
    for (;;) {
    }
}

void __assert_func(const char *file, int line, const char *function, const char *what)
{
    (void)file, (void)line, (void)function;
    for (; *what != '\0'; what++) {
        put(*what);
    }
    stop();
    for (;;) {
    }
}

void reset(void)
{
    uint32_t *from = data_kept;
    for (uint32_t *to = data_begin; to < data_end; to++) {
        *to = *from++;
    }
    for (uint32_t *to = bss_begin; to < bss_end; to++) {
        *to = 0U;
    }
    (void)main();
}

__attribute__((section(".vectors"), used)) static const void *const vectors[] = {
    stack_top, (const void *)reset,
};
#endif

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

int main(void)
{
    program_state state;

    begin_output();
    for (uint16_t sample = 0U; sample < SAMPLES; sample++) {
        const uint8_t flags = FLAGS(sample); /* 1 line open, 2 alive, 4 power up */
        program_reading reading;
        reading.now_ms = NOW(sample);
        reading.pressure_pa = float_of(PRESSURE(sample));
        reading.push_ms2 = float_of(PUSH(sample));
        reading.line_open = (flags & 1U) != 0U;
        if ((flags & 4U) != 0U) {
            program_init(&state, 0U);
        }
        if ((flags & 2U) != 0U) {
            program_step(&state, &reading);
            put((char)('0' + state.stage));
            put(' ');
            put_bits(state.height_m);
            put_bits(state.climb_ms);
#if PROGRAM_OUTPUTS > 0U
            for (uint8_t output = 0U; output < PROGRAM_OUTPUTS; output++) {
                put(state.level[output] ? '1' : '0');
            }
#endif
            put('\n');
        }
    }
    put('.');
    put('\n');
    stop();
    return 0;
}
